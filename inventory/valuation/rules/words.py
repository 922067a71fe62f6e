"""The words of price evidence, exactly as they are written everywhere: in tables, on pages, in commands.

Grades are facts of a tube, from best to worst, and no names of the trade. Condition words: common practice, no source.
"""

GRADES = ("unused boxed", "unused", "used tested good", "used untested", "weak", "dud")
SOLD, ASKING = "sold", "asking"
KINDS = (SOLD, ASKING)
SHARE = "share"  # of one price for unlike things: of an own lot, never of a row that is written down
VENUES = ("auction", "dealer", "fair", "private", "estate lot")
YES, NO, UNKNOWN = "yes", "no", "unknown"
ARMS_LENGTH = (YES, NO, UNKNOWN)
