"""``python -m witnessmark`` is the ``witnessmark`` command."""

from witnessmark.cli import main

if __name__ == "__main__":
    main()
