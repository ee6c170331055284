"""What ``models/`` says, as frozen values; nothing here decides anything."""
