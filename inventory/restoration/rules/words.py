"""Words for how a line of a plan stands, in one place. What each means for "can I start?" stands beside it."""

IN_PLACE = "in place"
DOUBTFUL = "in place, to be looked at"  # untested, near its limit, weak with nothing better, of another type: no bar
STOOD_IN = "a stand-in sits there"  # in a socket, in the place of its tube: what changes stands beside it
COVERED = "covered"
AFTER_TEST = "covered after a test"
ON_WORD = "covered after your word"  # its last test reads good, and the register still calls it untested
BY_RELATIVE = "covered by a relative"
BY_SUBSTITUTE = "covered by a substitute"
ELSEWHERE = "reserved elsewhere"  # there is one, and a more urgent plan counts on it
SHORT = "short"
NOT_HERE = "not here"  # a set that is lent out, left or was not found
NOT_RECORDED = "not recorded"  # which type a position wants, or which positions a set has
NOT_SAID = "not known to be here"  # a part without a kind, a tool or a book of which nobody said that it is at hand
TO_DO = "to do"
WAITING = "waiting"
AWAITED = "waited for"  # a part, tool or book that is to come; a piece of work that waits is WAITING, and no bar
DONE = "done"
SETTLE_BEFORE_POWER = "to settle before power"  # a check that failed
TO_JUDGE = "to be judged"  # found at a check, and nobody said whether that is as it should be: no bar
SETTLE_FIRST = "settle first"  # a hazard that is only proposed

LEFT_ALONE = "leave alone"  # a caution about a weak part, and none of the lines

COVERS = frozenset({IN_PLACE, DOUBTFUL, STOOD_IN, COVERED, BY_RELATIVE, BY_SUBSTITUTE, DONE})
STOPS = frozenset({SHORT, ELSEWHERE})

EMPTY, GOOD, UNTESTED, NEAR_LIMIT, WEAK, DUD = "empty", "good", "untested", "near its limit", "weak", "dud"
READ_GOOD = "read good"  # called untested still
WRONG_TYPE, NOT_KNOWN = "of a wrong type", "of a type of which nobody can say whether it may stand there"

CAN_START = "can start"
WITH_SUBSTITUTES = "can start with substitutes"
NOT_YET = "not yet"
