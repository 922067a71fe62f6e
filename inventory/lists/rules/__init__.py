"""Rules of lists in and out: pure, no Django, no file, no clock."""
