"""The state that a word states, and nothing more: new, unused or boxed says nothing of how a tube tests.

State words are those of holdings (good, untested, weak, dud). A carton's word is no test, and an old verdict with a
question mark needs a new one. Gas that is told and not read makes no dud: as after a test with gas, the tube is
borderline, counts as weak and is to be tested again. Meanings of the words: common practice, no source.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from inventory.holdings.rules.cells import Remark, says_nothing, says_unknown, shown
from inventory.lists.rules.verdict_words import unknown_beside

GOOD, UNTESTED, WEAK, DUD = "good", "untested", "weak", "dud"


@dataclass(frozen=True, slots=True)
class StateReading:
    """`state` is "" where no word states one or it is doubted; `condition` the whole text, kept as a fact."""

    text: str
    state: str = ""
    condition: str = ""
    doubted: bool = False
    remark: Remark | None = None


GASSY = "gassy"  # no state of holdings: see above
DENIED = "denied"  # a state that is said not to be so: no state of holdings
_DENIED = r"(?:not|isn't|nicht|kein|keine|pas|niet|geen|no longer|nicht mehr|non|nie|ne|není|nejsou|не)\s+(?:\w+\s+)?"
_GOOD_WORDS = (
    r"tests? good|tested good|good|geprüft gut|gut|i\.\s?o\.|in ordnung|bonn?e?s?|goede?|okay|ok|"
    r"buon[aoei]|buen[oa]s?|dobr[aáyéýe]|sprawn[aey]|исправн\w+|хорош\w+|рабоч\w+"
)
_WEAK_WORDS = (
    r"weak|low emission|(?:tests?|reads?|tested) low|tired|schwache?|müde|faible|zwak|verbraucht|esaurit[aoei]|"
    r"debol[ei]|słab[aey]|slab[áéý]|zużyt[aey]|слаб\w+|fatiguée?s?"
)
_DUD_WORDS = (
    r"duds?|dead|bad|shorted|taube?|defekte?|kaputt|tot|defective|faulty|u/s|broken|morte?s?|kapot|stuk|defect|"
    r"défectueu(?:x|se)|grillée?s?|claquée?s?|schrott|luft gezogen|durchgebrannt|burn(?:t|ed)[- ]out|guast[aoei]|"
    r"bruciat[aoei]|rott[aoei]|difettos[aoei]|uszkodzon[aey]|spalon[aey]|zepsut[aey]|martw[aey]|vadn[áéý]|spálen[áéý]|"
    r"mrtv[áéý]|hors service|неисправн\w+|сгоревш\w+|сгорел\w*|битая|дохлая|нерабоч\w+"
)
_DOES_NOT_WORK = (
    r"\b(?:not working|does(?:n't| not) work|funktioniert nicht|geht nicht|ne (?:marche|fonctionne) pas|werkt niet|"
    r"non funziona|no funciona|nie działa|nefunguje|nefunkční|не работает)\b"
)
#: In this order: what is taken by one pattern is not seen by the next.
_PATTERNS = tuple(
    (state, re.compile(pattern))
    for state, pattern in (
        (UNTESTED, r"\b(?:untested|un-tested|not (?:yet )?tested|not checked|unchecked|never tested|ungeprüft|"
                   r"ungetestet|"
                   r"(?:noch )?nicht (?:geprüft|getestet)|non testée?|pas testée?|niet getest|ongetest)\b"),
        (DUD, r"\bno[- ]good\b|\bn\.?g\.?(?!\w)|\bno emission\b|\bopen (?:filament|heater)\b|\bfilament open\b|"
              r"\bheater open\b|^cracked$|\bcracked (?:glass|envelope|bulb)\b|"
              r"\b(?:glass|envelope|bulb) (?:is )?cracked\b|\b(?:strong|hard|h-?k) shorts?\b|^shorts?$|"
              r"(?<!no )(?<!not )\brejects?\b(?!\W*(?:at|limit|point|value|level|below|under|if|[0-9]))|"
              rf"{_DOES_NOT_WORK}|\bg[1-3]?-[kfg][1-3]? shorts?\b"),
        (DENIED, rf"\b{_DENIED}(?:o\.k\.|{_GOOD_WORDS}|{_WEAK_WORDS}|{_DUD_WORDS})(?!\w)"),
        (GASSY, r"\b(?:gassy|gaseous|gashaltig|(?:has|some|slight|slightly|trace of) gas)\b|^gas$"),
        (DUD, rf"\b(?:{_DUD_WORDS})\b|"
              r"^open$|^h\.?s\.?$|^(?:o/c|open) (?:heater|filament)$|^(?:heater|filament) o/c$"),
        (WEAK, rf"^low$|\b(?:{_WEAK_WORDS})\b"),
        (GOOD, rf"\b(?:{_GOOD_WORDS})(?!\w)|\bo\.k\.?"),
    )
)  # fmt: skip
# Words of age and box that look like a verdict and are none; broken glass and an open heater are a verdict.
_FACTS = re.compile(
    r"\b(?!(?:bad|broken|open) (?:filament|heater)|broken glass|(?:filaments?|heaters?|heizfaden|faden|heizung) "
    r"(?:is |ist )?(?:bad|broken|defekt)|gla(?:s|ss) (?:is |ist )?broken)"
    r"(?:like new|wie neu|good as new|low hours|low serial|low price|no duds?|good for parts|good only for|"
    r"guter zustand|(?:no|not|kein|nicht|without|ohne) (?:gas|gassy)|"
    r"(?:good|bad|broken|open|ok) (?:box|carton|condition|shape|looking|looks|glass|base|pins?|key|paint|seal|"
    r"guide|filaments?|"
    r"heaters?|getter|markings?)|(?:box|carton|glass|base|pins?|getter|filaments?|heaters?|fil|glas|karton|"
    r"sockel|faden|"
    r"heizfaden|heizung|heizt)\.? (?:is |are |tests? |ist )?(?:good|ok|o\.k\.|gut|fine|bad|broken|lose|defekt|"
    r"box open))(?!\w)"
)
_DOUBT = re.compile(
    r"\b(?:maybe|probably|perhaps|poss(?:ibly)?|prob|should|believed|assumed|supposed(?:ly)?|allegedly|said to|"
    r"claimed|"
    r"vermutlich|wohl|evtl|angeblich|sollten?|peut-être|wellicht|presum\w+|likely|hopefully|guess\w*|nearly|almost|"
    r"hoffentlich|soll|beinahe|sans doute|censée?s?|forse|waarschijnlijk|misschien|chyba|powinn\w+|prawdopodobnie|"
    r"asi|snad|наверное|наверно|вероятно|возможно|кажется|должн\w+)\b"
)
# A verdict on some of several things is none on the others.
_SOME = re.compile(
    r"(?:^|[,;/+(]\s*)[0-9]{1,4}\s*x?\s+[^\W\d_]|\b(?:one|two|three|some|most|mostly|half|few|ein|eine|einer|"
    r"zwei|drei|einige|"
    r"manche|meist|teils|teilweise|partly|quelques|enkele)\b"
)


def read_state(cell: str) -> StateReading:
    """Read a state or condition cell of any content, in English and German with some French and Dutch."""
    text = cell.strip()
    if not text or says_nothing(text):
        return StateReading(cell)
    if says_unknown(text):
        return StateReading(cell, condition=text, doubted=True, remark=_remark("the state is not known"))
    plain = " ".join(text[:500].casefold().split())
    found = set(stated(plain))
    if DENIED in found:
        return StateReading(cell, "", text, True, _remark(f"{shown(text)} says what it is not"))
    gas, found = GASSY in found, _without_gas(found)
    if len(found) > 1:
        return StateReading(cell, "", text, True, _remark(f"{shown(text)} states more than one thing"))
    state = found.pop() if found else ""
    if state and _SOME.search(plain):
        return StateReading(cell, "", text, True, _remark(f"{shown(text)} is said of some, not of all"))
    if state and doubted(plain):
        return StateReading(cell, "", text, True, _remark(f"{state} is doubted in the list"))
    if state in (GOOD, DUD) and (beside := _not_known(plain)):
        return StateReading(cell, "", text, True, _remark(f"{shown(beside)} beside {state} is not read"))
    if not state and "?" in plain:
        return StateReading(cell, "", text, True, _remark(f"{shown(text)} is doubted in the list"))
    return StateReading(cell, state, text, remark=_GAS.get(state) if gas else None)


#: Between what is said: no point inside `n.g.`, no stroke inside `u/s`.
CLAUSES = re.compile(r"[,;()!\n]+|(?<!\b\w)\.(?!\w)|(?<=\w\w)/(?=\w\w)|\s/|/\s|\s-\s")


def _not_known(plain: str) -> str:
    """The words that stand beside a verdict, in its own clause, and may change it."""
    clauses = (clause for clause in CLAUSES.split(plain) if {GOOD, DUD} & set(stated(clause.strip())))
    found = (unknown_beside(stripped_of_states(clause.strip()), _NO_VERDICT) for clause in clauses)
    return next(filter(None, found), "")


def _without_gas(found: set[str]) -> set[str]:
    """States as holdings know them: what is gassy is weak at best."""
    if GASSY not in found:
        return found
    return {WEAK} if found <= {GASSY, WEAK, GOOD} else found - {GASSY}


def states_in(plain: str) -> set[str]:
    """The states of holdings that the words of a lower-case text state, ``DENIED`` among them."""
    return _without_gas(set(stated(plain)))


#: What is said of a gassy tube by the state it is taken in with; a dud is one with gas or without.
_GAS = {
    WEAK: Remark(
        "gas is told: borderline, taken as weak", "test it; gas alone makes no dud, write dud where it is one"
    ),
    UNTESTED: Remark("gas is told of an untested tube: taken as untested", "test it for gas before it goes to work"),
}


def stated(plain: str) -> Iterator[str]:
    """States that the words of a lower-case text state, each pattern on what the earlier ones left."""
    plain = _FACTS.sub(" ", plain)
    for state, pattern in _PATTERNS:
        plain, times = pattern.subn(" ", plain)
        if times:
            yield state


def stripped_of_states(plain: str) -> str:
    """A lower-case text without the words that state something."""
    plain = _FACTS.sub(" ", plain)
    for _, pattern in _PATTERNS:
        plain = pattern.sub(" ", plain)
    return plain


def doubted(plain: str) -> bool:
    """True when the verdict has a question mark or a word of doubt beside it."""
    return "?" in plain or _DOUBT.search(plain) is not None


#: Words that tell of age, box and looks, or that nothing was tested, and leave no verdict behind.
_NO_VERDICT = frozenset(
    "new nos nib nif nwob old stock unused used boxed unboxed box in orig original sealed like as is pull pulls pulled "
    "untested mint clean dirty dusty worn hours low serial surplus military spare spares matched pair set of and the "
    "with w o no from a looks look looking condition fine excellent fair ex equipment "
    "neu neuwertig wie ovp gebr gebraucht ungebraucht alt originalverpackt ausgebaut aus im in karton mit ohne "
    "neuf neuve neufs neuves occasion d usagé usagée usagés usagées dans sa boîte boite origine avec sans emballage "
    "nieuw nieuwe gebruikt gebruikte ongebruikt doos originele "
    "nuovo nuova nuovi nuove usato usata usati usate mai scatola originale con senza nuevo nueva nuevos nuevas usado "
    "usada usados usadas en caja "
    "nowa nowy nowe używana używany używane nieużywana pudełku oryginalnym pudełko z bez "
    "nová nový nové použitá použitý použité nepoužitá krabičce původní "
    "новая новый новое новые новая б у бу бывшая бывший использованная использованный неиспользованная старая "
    "коробке упаковке в с без коробки упаковки хранения".split()
)
_AGAINST = re.compile(r"\b(?:bad|broken|lose|defekt)\b")


def left_unread(state: StateReading) -> bool:
    """Whether a cell of states says more than age, box and looks, and no state was read from it."""
    if state.state or state.doubted:
        return False
    plain = " ".join(state.condition[:500].casefold().split())
    rest = _FACTS.sub(lambda fact: fact[0] if _AGAINST.search(fact[0]) else " ", plain)
    words = re.findall(r"\w+", rest)
    return any(word not in _NO_VERDICT and not _YEAR.fullmatch(word) for word in words)


_YEAR = re.compile(r"(?:19|20)[0-9]{2}s?")


def read_states(cell: str, groups: int) -> tuple[StateReading, ...]:
    """A state for each of a count's groups: `neu / taub?` beside `2+2` says one of each; else the same for all."""
    parts = re.split(r"\s*[/+;]\s*", cell.strip())
    whole = read_state(cell)
    if groups < 2:
        return (whole,)
    if len(parts) != groups:
        return (whole,) * groups
    return tuple(read_state(part) for part in parts)


def _remark(reason: str) -> Remark:
    return Remark(reason, "test it; until then it counts as untested")
