"""Rules of lists in and everything out: pure, no Django, no file, no clock."""
