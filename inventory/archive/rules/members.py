"""What a packed file may contain before anything in it is believed: names, sizes, digests."""

import re
from collections.abc import Iterable
from dataclasses import dataclass

MOST_MEMBERS = 1_000_000
MOST_BYTES = 256 * 2**30
SLACK = 256 * 2**20  # bytes that may unpack whatever the file's size
MOST_TIMES = 200  # beyond the slack: a file that unpacks to more than this many times its size is no honest one
_BAD = re.compile(r"[\x00-\x1f\x7f\\:*?\"<>|]")


@dataclass(frozen=True)
class MemberFacts:
    """What the directory of a packed file says of one member."""

    name: str
    size: int
    encrypted: bool = False
    link: bool = False


def name_fault(name: str) -> str:
    """Why a member may not be called so, or an empty text. A name must lead nowhere but down."""
    if not name or len(name) > 400:
        return "a name of 1 to 400 characters"
    if _BAD.search(name):
        return 'a name without control characters and without \\ : * ? " < > |'
    if name.startswith("/") or any(part in ("", ".", "..") for part in name.split("/")):
        return "a name that leads downwards only"
    return ""


def member_faults(members: Iterable[MemberFacts], packed_size: int) -> list[str]:
    """Everything in the directory of a packed file that speaks against opening it."""
    faults: list[str] = []
    seen: set[str] = set()
    total = 0
    for count, member in enumerate(members, 1):
        if count > MOST_MEMBERS:
            return [*faults, f"more than {MOST_MEMBERS} members"]
        if expected := name_fault(member.name):
            faults.append(f"member {member.name[:80]!r}, expected {expected}")
        if member.name in seen:
            faults.append(f"member {member.name[:80]!r} is there twice")
        if member.encrypted or member.link:
            faults.append(f"member {member.name[:80]!r} is {'encrypted' if member.encrypted else 'a link'}")
        seen.add(member.name)
        total += member.size
    if total > min(MOST_BYTES, SLACK + MOST_TIMES * packed_size):
        faults.append(f"it would unpack to {total} bytes from {packed_size}: too much to be honest")
    return faults[:20]
