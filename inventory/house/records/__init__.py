"""Dated records: when something was, by whom, and how a record is struck out or corrected without losing anything."""
