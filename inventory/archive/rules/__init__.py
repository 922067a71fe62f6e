"""Rules of the archive: pure, no Django, no file, no clock."""
