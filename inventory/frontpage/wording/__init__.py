"""Answers of the first page, the look-up and the bench report as JSON and as text."""
