"""``witnessmark store``: looks after the record itself."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from witnessmark.cli.calendars import EPILOG as CALENDAR_EPILOG
from witnessmark.cli.calendars import calendar
from witnessmark.cli.options import AsJson, StorePath, Which, Who, Why, opened
from witnessmark.cli.output import note, print_json, progress
from witnessmark.cli.redraft import EPILOG as REDRAFT_EPILOG
from witnessmark.cli.redraft import redraft
from witnessmark.errors import BadInputError, StoreError

if TYPE_CHECKING:
    from witnessmark.record import Keeping, Store

MachineName = Annotated[
    str,
    typer.Argument(
        metavar="MACHINE",
        show_default=False,
        help="Registration or VIN, or the whole id of a walkround whose machine was never confirmed.",
    ),
]

CHECK_EPILOG = """\b
Examples:
  witnessmark store check
  witnessmark store check --head > head-of-monday.txt
  witnessmark store check --head-was 3f2a9c…

Exit status: 0 when all is well, 4 when something is wrong.
"""


def check(
    head: Annotated[
        bool, typer.Option("--head", help="Print only the hash of the trail's last entry, and check nothing.")
    ] = False,
    quick: Annotated[
        bool, typer.Option("--quick", help="Only the file, the trail and the drafts: seconds for a million.")
    ] = False,
    head_was: Annotated[
        str | None,
        typer.Option(
            "--head-was", metavar="HASH", help="Make sure that the trail ends, or once ended, with this hash."
        ),
    ] = None,
    store: StorePath = None,
    as_json: AsJson = False,
) -> None:
    """Look the record over: the file, the trail link by link, every confirmed row, sounds and pictures.

    The hash of the trail's last entry stands for all before it. Keep it somewhere else from time to time:
    compared later, it shows whether anything up to that day was rewritten.
    """
    with opened(store) as record:
        now = record.head()
        if head:
            print(now)
            return
        with progress("record") as bar:
            problems = record.check(bar, quick=quick)
        if head_was and not record.had_head(head_was.strip()):
            problems.append(f"the trail never ended with {head_was.strip()}: it was rewritten before that")
    if as_json:
        print_json({"head": now, "problems": problems})
    else:
        print("\n".join(problems or [f"All is well. The trail ends with {now}"]))
    if problems:
        raise typer.Exit(StoreError.exit_code)


BACKUP_EPILOG = """\b
Examples:
  witnessmark store backup stick/monday.sqlite
  witnessmark store check --store stick/monday.sqlite

To restore, put the copy and the folders beside it in the place of what was lost, while no program uses it.
"""


def backup(
    target: Annotated[
        Path,
        typer.Argument(metavar="FILE", show_default=False, help="The copy; it is replaced if it is there."),
    ],
    store: StorePath = None,
) -> None:
    """Copy the record while others go on using it, with sounds and pictures beside the copy.

    The copy is a record like any other. It is written beside its place, compared, and only then put there.
    """
    with opened(store) as record, progress(target.name) as bar:
        copied = record.backup(target, bar)
    print(f"{copied.path}: copied, with {copied.files} new files. The trail ends with {copied.head}")


MIGRATE_EPILOG = """\b
Examples:
  witnessmark store migrate --store shop.sqlite
"""


def migrate(store: StorePath = None) -> None:
    """Bring a record of an older version up to date, after a copy of what it was has been put beside it.

    Every command does so when it opens an older record; this one does nothing else.
    """
    from witnessmark.record import Store

    path = store or Store.default_path()
    before, beside = _version(path), set(path.parent.iterdir())
    with Store.open(path):
        after = Store.version_of(path)
    if before == after:
        print(f"{path}: is of the newest version ({after}) already; nothing was changed.")
        return
    (copy,) = set(path.parent.glob(f"{path.stem}.version*{path.suffix}")) - beside
    print(f"{path}: brought from version {before} to {after}. As it was: {copy}")


def _version(path: Path) -> int:
    from witnessmark.record import Store

    if not path.exists():
        raise StoreError("there is no record here.", str(path), "`witnessmark ingest` makes one.")
    return Store.version_of(path)


COMPACT_EPILOG = """\b
Examples:
  witnessmark store compact
"""


def compact(store: StorePath = None) -> None:
    """Take back room that is no longer needed, and make the search index anew.

    The file is written anew, which needs as much room again for a while. Sounds and pictures that no
    walkround has, such as those of an intake that was stopped, are taken away once they are a day old.
    """
    with opened(store) as record:
        room = record.compact()
    print(f"{room.before:,} bytes before, {room.after:,} now; {room.files} files taken away.")


SOUND_EPILOG = """\b
Examples:
  witnessmark store sound --who "A. Smith" --keep-days 90 --why "our notice to customers"
  witnessmark store sound --who "A. Smith"
  witnessmark store sound --who "A. Smith" --of w-3f2a9c01b7de
"""


def sound(
    who: Who,
    keep_days: Annotated[
        int | None,
        typer.Option(
            "--keep-days",
            metavar="N",
            help="From now on, sound may go N days after the last decision on its walkround.",
        ),
    ] = None,
    for_good: Annotated[bool, typer.Option("--for-good", help="From now on, keep all sound.")] = False,
    of: Annotated[
        str | None,
        typer.Option("--of", metavar="WALKROUND", help="Take the sound of this walkround away now."),
    ] = None,
    why: Why = "",
    store: StorePath = None,
) -> None:
    """Say how long sound is kept, and take away what the rule lets go. The words stay.

    A voice is personal data. Sound goes only when everything in its walkround is decided.
    """
    if (keep_days is not None) + for_good + (of is not None) > 1:
        raise BadInputError("--keep-days, --for-good and --of exclude each other", remedy="Give one of them.")
    with opened(store) as record:
        keeping = _keeping(record, who, why)
        if of is not None:
            gone: tuple[str, ...] = (record.walkround(of).id,)
            keeping.remove_sound(gone[0])
        else:
            if keep_days is not None or for_good:
                keeping.keep_sound_for(keep_days)
            gone = keeping.remove_old_sound()
    for walkround in gone:
        print(f"{walkround}: its sound was taken away; the words are still there.")
    if not gone:
        note("No sound was taken away.")


REDACT_EPILOG = """\b
Examples:
  witnessmark store redact 3f2a "Ada Lamb" --who "A. Smith" --why "asked on 3 March"
"""


def redact(
    walkround: Which,
    name: Annotated[
        str, typer.Argument(metavar="NAME", show_default=False, help="As it stands in the talk.")
    ],
    who: Who,
    why: Why = "",
    store: StorePath = None,
) -> None:
    """Take a person's name out of what was said and decided in a walkround, letter for letter.

    The names of those who decided stay. The sound still says the name, and so do copies of the record. Do not
    write the name into --why: that stands in the trail for good.
    """
    with opened(store) as record:
        id = record.walkround(walkround).id
        texts = _keeping(record, who, why).redact(id, name)
    if not texts:
        raise StoreError("this name does not stand in the walkround", id, "Give it as it is written there.")
    print(f"{id}: taken out of {texts} texts.")
    note(f"The sound may still say it: `witnessmark store sound --of {id}` takes it away.")


ERASE_EPILOG = """\b
Examples:
  witnessmark store erase "KX21 WPT" --who "A. Smith" --why "the owner asked on 3 March"
"""


def erase(
    machine: MachineName,
    who: Who,
    why: Why = "",
    sure: Annotated[bool, typer.Option("--sure", help="Do not ask.")] = False,
    store: StorePath = None,
) -> None:
    """Take everything out that the record holds of a machine: words, findings, sound and pictures.

    It cannot be brought back. What stays are ids, days, hashes, and who decided when; so the trail can still
    be checked. Copies of the record, and what lies outside it, are not reached.
    """
    with opened(store) as record:
        keeping = _keeping(record, who, why)
        count = len(keeping.walkrounds(machine))
        if not sure:
            typer.confirm(f"Erase everything of {machine} ({count} walkrounds) for good?", abort=True)
        done = keeping.erase(machine)
    erased = f"{len(done.walkrounds)} walkrounds, {done.files} files"
    print(f"{erased} and {done.lines} lines from elsewhere were erased.")
    note("Copies made before still hold them: make new ones, and destroy the old when their time has come.")


HAND_OUT_EPILOG = """\b
Examples:
  witnessmark store hand-out "KX21 WPT" for-the-owner --who "A. Smith" --why "the owner asked"
"""


def hand_out(
    machine: MachineName,
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", show_default=False, help="A new folder.")],
    who: Who,
    why: Why = "",
    store: StorePath = None,
) -> None:
    """Write everything that the record holds of a machine into a new folder, for whoever may ask for it."""
    from witnessmark.record import hand_out as write

    with opened(store) as record:
        for path in write(record, _keeping(record, who, why), machine, folder):
            print(path)


def _keeping(record: Store, who: str, why: str) -> Keeping:
    from witnessmark.record import Keeping

    return Keeping(record, who, why)


COMMANDS: tuple[tuple[Callable[..., None], str], ...] = (
    (check, CHECK_EPILOG),
    (backup, BACKUP_EPILOG),
    (migrate, MIGRATE_EPILOG),
    (compact, COMPACT_EPILOG),
    (sound, SOUND_EPILOG),
    (redact, REDACT_EPILOG),
    (erase, ERASE_EPILOG),
    (hand_out, HAND_OUT_EPILOG),
    (redraft, REDRAFT_EPILOG),
    (calendar, CALENDAR_EPILOG),
)
