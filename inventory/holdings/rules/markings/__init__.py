"""What is marked on parts that are no tubes, read into all that it can mean, and values written as marks.

Colours of bands, bodies and dots; letter codes; type designations; crystals; wire gauges. A mark that two codes explain
gives a reading for each; where writers differ each has its reading, with its source. What is in the tables of
``fixtures/reference`` (``marking_*.csv``, ``wire_gauges.csv``) is handed in as ``MarkingTables``.
"""

from inventory.holdings.rules.markings.answers import Answer, MarkingFault, Reading
from inventory.holdings.rules.markings.decode import KINDS, LONGEST, decode
from inventory.holdings.rules.markings.encode import encode, marks_for
from inventory.holdings.rules.markings.tables import MarkingTables

__all__ = ["KINDS", "LONGEST", "Answer", "MarkingFault", "MarkingTables", "Reading", "decode", "encode", "marks_for"]
