"""What belongs together and would be parted, and what counts on a thing: named before, asked about by what does it."""

import re
from collections.abc import Sequence

from inventory.holdings.models import Item, Loan
from inventory.holdings.queries.record import came
from inventory.holdings.rules.ways import ON_LOAN
from inventory.house.concerns import claims_on_many, held_by, mates_of, mates_of_many, promised_many, relied_on_many

NAMED = 3  # things that a warning names

_OF_A_LOT = re.compile(r"^(\d+) of it ")


def left_behind(item: Item) -> str:
    """A warning that names what belongs with a thing that is about to go alone; empty where nothing does."""
    mates = mates_of(item)
    return (
        f"It belongs together with {'; '.join(mates)}. Move, lend or sell them together, or write down why not."
        if mates
        else ""
    )


def counted_on(items: Sequence[Item]) -> dict[int, list[str]]:
    """What counts on things that go together, by key: plans that reserved them, sets whose last spares they are."""
    told = {key: list(words) for key, words in claims_on_many(items).items()}
    for key, words in relied_on_many(items).items():
        told.setdefault(key, []).extend(words)
    return told


def before_it_leaves(item: Item, *, to_owner: bool = False, parting: bool = False, how: str = "") -> str:
    """What is asked before a thing is lent or parted with: what belongs with it, what counts on it, whose it is.

    ``to_owner``: it goes back to whom it belongs to, so that is not asked. ``parting``: it leaves for good, so to whom
    it is promised is; ``how``: in which words, that may name whom it is lent to.
    """
    promised = promises_told([item]) if parting else ""
    claims = counted_on([item]).get(item.pk, [])
    texts = [_OF_A_LOT.sub(lambda n: f"{n[1]} of it {'is' if n[1] == '1' else 'are'} ", text) for text in claims]
    lead = "" if texts and texts[0][:1].isdigit() else "It is "
    counted = f"{lead}{'; '.join(texts)}. Keep it, release it there, or write down why not." if texts else ""
    owed = None if to_owner else item.loans.filter(way=Loan.IN, ended__isnull=True).first()
    until = f" until {owed.due}" if owed and owed.due else ""
    other = f"It belongs to {owed.who} and is here on loan{until}. Ask first, or write down why not." if owed else ""
    lent = ""
    if parting and item.lent_to and item.lent_to.casefold() not in how.casefold():
        lent = f"It is lent to {item.lent_to} since {item.lent_on}. Say that it stays there, or where it goes."
    return " ".join(text for text in (left_behind(item), counted, promised, other, lent) if text)


def ours_by_its_record(item: Item) -> str:
    """What its record says against it that a thing is somebody else's: it was bought, given, paid for; else empty."""
    now = came(item)
    told = [f"it came as {now.way}"] if now.way and now.way != ON_LOAN else []
    told += ["a price was paid for it"] if now.paid else []
    return f"By its record {' and '.join(told)}. Write down why it is somebody else's." if told else ""


def promises_told(items: Sequence[Item]) -> str:
    """To whom things that are about to leave for good are promised, as a question; empty where nobody was."""
    tags = {item.pk: item.tag for item in items}
    told = [f"{tags[key]} is {'; '.join(words)}" for key, words in promised_many(items).items()]
    more = f", and {len(told) - NAMED} more" if len(told) > NAMED else ""
    return f"{'. '.join(told[:NAMED])}{more}. Say that it goes there, or why not." if told else ""


def barred(item: Item, *, parting: bool = False) -> str:
    """Why a thing can be neither lent nor parted with as it stands, and what comes first; empty where it can.

    ``parting``: it is parted with; a thing that is lent may then be written off.
    """
    if item.gone_on:
        return f"{item.tag} left the collection on {item.gone_on}."
    if item.lent_to and not parting:
        return f"{item.tag} is lent to {item.lent_to} since {item.lent_on}; take it back first."
    if held := held_by(item):
        return f"{item.tag}: {'; '.join(held)}; take it out first."
    owed = item.loans.filter(way=Loan.IN, ended__isnull=True).first() if parting else None
    return f"{item.tag} belongs to {owed.who}, here on loan: record that it was given back." if owed else ""


def counted_words(items: Sequence[Item]) -> str:
    """What counts on things that are about to be carried, as a warning; empty where nothing does."""
    counted = counted_on(items)
    if not counted:
        return ""
    tags = {item.pk: item.tag for item in items}
    told = [f"{tags[key]} is {'; '.join(words)}" for key, words in list(counted.items())[:NAMED]]
    more = f"; and {len(counted) - NAMED} more" if len(counted) > NAMED else ""
    return f"{'. '.join(told)}{more}."


def root_of(path: str) -> str:
    """The room or house that a path begins with."""
    return path.split(" / ")[0]


def out_of_the_house(items: Sequence[Item], into: str) -> str:
    """A warning where things that something counts on go from their room to another, or to no known place.

    ``into``: the path they go to; empty: none that is known. Items have their places at hand.
    """
    going = [item for item in items if item.place and root_of(item.place.path) != (root_of(into) if into else "")]
    counted = counted_words(going) if going else ""
    whereto = f"to {root_of(into)}" if into else "to no known place"
    return f"{counted} That would go out of its room, {whereto}: write down why." if counted else ""


def left_behind_of(items: Sequence[Item]) -> str:
    """As ``left_behind``, for things that are about to go together: what belongs with them and is not among them."""
    tags = {item.pk: item.tag for item in items}
    told = []
    for key, mates in mates_of_many(items).items():
        more = f", and {len(mates) - NAMED} more" if len(mates) > NAMED else ""
        told.append(f"{tags[key]} with {', '.join(mates[:NAMED])}{more}")
    if len(told) > NAMED:
        told[NAMED:] = [f"and {len(told) - NAMED} more of these things with others"]
    return f"These belong together: {'; '.join(told)}. Move them together, or write down why not." if told else ""
