"""The numbering schemes: what each is called, and its form as a small grammar. A new scheme is told here alone.

A grammar says that a number *could* belong to a scheme and how that scheme writes it. Which tube it is, and whether
there is one, only the tables say. Patterns run on strict keys (capitals, no gaps except a hyphen between figures, 0 for
the letter O). Sources of the forms: bvws-valvenos (British services), rtype-vt (VT), duncan-cv (CV), tcuk-retma,
tcuk-special and wiki-rma (American), liqui-vt and tcuk-tx (Pro Electron), astronix-su (Soviet), si-vt2 and
telegraph-navy (Navy); the rest common practice, no source.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass

US_VT = "us-signal-corps-vt"
US_NAVY = "us-navy"
UK_CV = "uk-cv"
UK_SERVICES = "uk-services"
PRO_ELECTRON = "pro-electron"
EIA = "eia-industrial"
MAKER = "maker"
SOVIET = "soviet"
GERMAN = "german-military"
OBSOLETE = "obsolete-civil"
JAN = "jan"
PLAIN = "plain"
BY_NAME = "type-name"  # no stamp at all: the row relates two types by their names


@dataclass(frozen=True, slots=True)
class Scheme:
    """A numbering scheme. ``words``: its name in the trade.

    ``tabled``: rows of the reference tables may name it. ``civil``: a designation that is also the name of a type means
    that type, and it may stand behind JAN. Elsewhere it need not: the Soviet 6A7 is the American 6SA7, and the American
    6A7 is another tube. ``on_label``: its marks stand on labels before the others, in this order; service numbers come
    first, since they are what stands on other stock of the same type. ``warned``: how a warning names one of its
    numbers, where another nation's numbers look like it.
    """

    key: str
    words: str
    tabled: bool = True
    civil: bool = False
    on_label: int = 9
    warned: str = ""


SCHEMES = (
    Scheme(US_VT, "Signal Corps VT", on_label=1, warned="a U.S. {}"),
    Scheme(US_NAVY, "U.S. Navy", on_label=2),
    Scheme(UK_CV, "British CV", on_label=3),
    Scheme(UK_SERVICES, "British services", on_label=4, warned="a British {}"),
    Scheme(PRO_ELECTRON, "European", civil=True, on_label=7),
    Scheme(EIA, "American, industrial or ruggedized", civil=True, on_label=6),
    Scheme(MAKER, "maker's own", civil=True),
    Scheme(SOVIET, "Soviet", on_label=5),
    Scheme(GERMAN, "German military", civil=True, on_label=6),
    Scheme(OBSOLETE, "older civil", civil=True, warned="a U.S. {} voltage regulator"),
    Scheme(BY_NAME, "by its type name", civil=True),
    Scheme(JAN, "JAN", tabled=False),
    Scheme(PLAIN, "type number", tabled=False),
)
BY_KEY = {scheme.key: scheme for scheme in SCHEMES}
TABLED = tuple(scheme.key for scheme in SCHEMES if scheme.tabled)
CIVIL_SCHEMES = frozenset(scheme.key for scheme in SCHEMES if scheme.civil)
#: Schemes of a number that may stand behind JAN and is then read in scheme `jan`.
CIVIL = CIVIL_SCHEMES | {PLAIN}

_LAST_US_VT = 300  # "about VT-300" (rtype-vt)


@dataclass(frozen=True, slots=True)
class Form:
    """A number written the way its scheme writes it."""

    scheme: str
    designation: str


@dataclass(frozen=True, slots=True)
class Setting:
    """What is known of the place where the number stands."""

    slash: bool = False  # the number is written over a slash: 10E/392
    navy: bool = False  # behind USN, NAVY or a maker code
    alone: bool = False  # nothing else could be meant by a bare two-figure number


@dataclass(frozen=True, slots=True)
class Grammar:
    scheme: str
    pattern: re.Pattern[str]
    canonical: Callable[[re.Match[str]], str | None]


def _as_is(match: re.Match[str]) -> str:
    return match.group()


def _us_vt(match: re.Match[str]) -> str | None:
    number, suffix = match.groups()
    if int(number) > _LAST_US_VT:
        return None
    return f"VT-{number}-{suffix}" if suffix else f"VT-{number}"


def _hyphen(match: re.Match[str]) -> str:
    return f"{match.group(1)}-{match.group(2)}"


def _slash(match: re.Match[str]) -> str:
    return f"{match.group(1)}/{match.group(2)}"


def _industrial(match: re.Match[str]) -> str | None:
    return None if re.fullmatch("19[2-7][0-9]", match.group()) else match.group()


def _maker(match: re.Match[str]) -> str:
    prefix, number = match.groups()
    return f"{prefix}-{number}" if prefix in ("WE", "GL", "WL", "RK") else prefix + number


def _volts_first(match: re.Match[str]) -> str | None:
    # American numbers begin with the heater voltage; the highest in use is 117.
    return match.group() if int(match.group(1)) <= 117 else None


def _tenths(match: re.Match[str]) -> str:
    return match.group().replace("-", ",")  # RV2,4P700: a filament of 2.4 V


def _transmitting(match: re.Match[str]) -> str:
    name, volts, tenths, watts = match.groups()
    return f"{name}{volts}{'.' + tenths[1:] if tenths else ''}/{watts}"


def _grammar(scheme: str, pattern: str, canonical: Callable[[re.Match[str]], str | None] = _as_is) -> Grammar:
    return Grammar(scheme, re.compile(pattern), canonical)


_ARMY_NAVY_RAF = "VCR|ACR|VR|VT|VU|VI|VS|VW|VX|ARDDP|ARDD|ARTH|ARTP|ARP|ARS|ARH|AR|ATP|ATS|AT|AU|AW|NR|NT|NU|NS|NGT"
_PE_FIRST = "[ACDEFGHKPUV]"
_PE_KIND = "[ABCDEFHKLMNPQXYZ]"

_ANYWHERE = (
    _grammar(US_VT, "VT([1-9][0-9]{0,2})([A-Z]{0,2})", _us_vt),
    _grammar(UK_SERVICES, f"(?:{_ARMY_NAVY_RAF})[1-9][0-9]{{0,3}}[A-Z]?"),
    _grammar(UK_SERVICES, "ZA[0-9]{4,5}"),
    _grammar(UK_CV, "CV[1-9][0-9]{0,4}[A-Z]{0,2}"),
    _grammar(OBSOLETE, "(VR[1-9][0-9]{1,2})-([0-9]{2})", _hyphen),
    _grammar(OBSOLETE, "VR[1-9][0-9]{1,2}"),
    _grammar(OBSOLETE, "(UX|UV|UY|CX|SX)([1-9][0-9]{1,2}[A-Z]?)", _hyphen),
    _grammar(OBSOLETE, "(C)(3[0-9]{2}[A-Z]?)", _hyphen),
    _grammar(EIA, "[1-9][0-9]{3}[A-Z]{0,4}", _industrial),
    _grammar(PRO_ELECTRON, f"(?!UX|UV|CX){_PE_FIRST}{_PE_KIND}{{1,3}}[1-9][0-9]{{0,2}}[A-Z]{{0,2}}"),
    _grammar(PRO_ELECTRON, f"{_PE_FIRST}[1-9][0-9]{{1,2}}{_PE_KIND}{{1,3}}"),
    _grammar(PRO_ELECTRON, "(?:75|85|90|108|150)[ABC][1-9]"),
    _grammar(PRO_ELECTRON, "(Q[A-Z]{1,2}[0-9]{2})-([0-9]{1,3}[A-Z]?)", _hyphen),
    _grammar(MAKER, "(RK|HY|HK|CK|WE|GL|WL|KT|ML)([1-9][0-9]{1,3}[A-Z]{0,3})", _maker),
    _grammar(MAKER, "M8[0-9]{3}"),
    _grammar(GERMAN, "R[LVG][0-9]{1,2}(?:-[0-9])?[A-Z]{1,2}[1-9][0-9]{0,3}", _tenths),
    _grammar(GERMAN, "L[DGV][1-9][0-9]?"),
    _grammar(US_NAVY, "(CW|CG|CT|CL|SE)(9[0-9]{2}|1[0-9]{3})[A-Z]?", lambda m: f"{m.group(1)}-{m.group()[2:]}"),
    _grammar(US_NAVY, "38[0-9]{3}[A-Z]{0,2}"),
    _grammar(PLAIN, "([0-9]{1,3})[A-Z]{1,3}[1-9][0-9]{0,3}[A-Z]{0,5}", _volts_first),
    _grammar(PLAIN, "([0-9]{1,2})[A-Z]{1,3}P[0-9]{1,2}[A-Z]?", _volts_first),
    _grammar(PLAIN, "[0-9]-[0-9]{2,4}[A-Z]{1,2}"),
    _grammar(PLAIN, "[1-9][0-9]{1,2}T[HLS]?"),
    _grammar(PLAIN, "[1-9][0-9]{2}(?!(?:V|W|MA|KC|MC|HZ|PF)$)[A-Z]{1,2}"),
    _grammar(PLAIN, "[89][0-9]{2}"),
)
_OVER_SLASH = (
    _grammar(UK_SERVICES, "(110?E|10[A-Z]{1,2})([0-9]{1,6}[A-Z]?)", _slash),
    _grammar(PRO_ELECTRON, "([DMPQRT][A-Z]{1,3})([0-9]{1,2})(-[0-9])?-([0-9]{1,4}[A-Z]?)", _transmitting),
)
_NAVY_ONLY = (_grammar(US_NAVY, "[1-9][0-9]{4,5}[A-Z]{0,2}"),)
_ALONE_ONLY = (_grammar(PLAIN, "[1-9][0-9]"),)

# Heater volts, one Cyrillic letter, serial number, envelope letter, grade; or the transmitting and regulator series.
_SOVIET_FORMS = (
    re.compile("[0-9]{1,2}[А-Я][0-9]{1,2}[А-Я]?(?:-[А-Я]{1,3})?"),
    re.compile("(?:ГУ|ГК|ГИ|ГМ|ГП|СГ|СТ|ТГ|ВГ|ТХ|МТХ|Г)-?[0-9]{1,4}[А-Я]{0,2}(?:-[0-9А-Я]{1,3})?"),
)

#: Letter groups that may stand apart from their number: `VT 299`, `CV 9999`. AT and the like are words too.
PREFIXES = frozenset(re.split(" ", "VT VR VU VCR CV ARDD ARTH ARP ATP ATS ZA UX UV UY CX SX RK HY HK WE KT"))


def forms(key: str, setting: Setting) -> list[Form]:
    """Every scheme whose form the key has, without asking the tables; a number over a slash is a kind of its own."""
    if not key.isascii() or len(key) > 16:
        return []
    grammars: tuple[Grammar, ...] = _OVER_SLASH if setting.slash else _ANYWHERE
    if setting.navy:
        grammars += _NAVY_ONLY
    if setting.alone:
        grammars += _ALONE_ONLY
    found: dict[str, Form] = {}
    for grammar in grammars:
        match = grammar.pattern.fullmatch(key)
        name = grammar.canonical(match) if match else None
        if name is not None:
            found.setdefault(grammar.scheme, Form(grammar.scheme, name))
    return list(found.values())


def is_soviet_form(cyrillic: str) -> bool:
    """True when a number in Cyrillic capitals has the form of a Soviet type number."""
    return len(cyrillic) <= 16 and any(form.fullmatch(cyrillic) for form in _SOVIET_FORMS)


#: Latin letters for the kind of a Soviet tube, by sound or by look: diode, triode, pentode ... (astronix-su).
_SOVIET_KINDS = dict(zip("ABCDEFGHIKLNPRSX", "АБСДЕФГНИКЛНПРСХ", strict=True))
_SUBMINIATURE = re.compile(f"([0-9]{{1,2}})([{''.join(_SOVIET_KINDS)}])([0-9]{{1,2}})A")


def soviet_in_latin(key: str) -> str:
    """The Soviet subminiature number that an American one with an A behind it may be too (6D6A); empty: none.

    Of the letters of build only A is one sign in both alphabets and an American later issue as well.
    """
    match = _SUBMINIATURE.fullmatch(key)
    return f"{match[1]}{_SOVIET_KINDS[match[2]]}{match[3]}А" if match else ""


def caution(key: str, schemes: frozenset[str], *, latin: bool) -> str:
    """A warning when the number fits another nation's numbers too, but the tables do not have it there; else empty."""
    if key.startswith(("VT", "VR")):
        others = [form for form in forms(key, Setting()) if BY_KEY[form.scheme].warned and form.scheme not in schemes]
        if others:
            name = BY_KEY[others[0].scheme].warned.format(others[0].designation)
            known = f"; the R.A.F. had a {key} (from memory)" if key[:2] + "-" + key[2:] in _RAF_TOO else ""
            return f"{name} would be another tube (not in the tables){known}"
    if latin and schemes == {SOVIET} and re.fullmatch("[0-9]{1,2}[A-Z][0-9]{1,2}", key):
        return f"read as Soviet; an American {key} would be another tube (not in the tables)"
    return ""


_SHORT_REGULATOR = re.compile("VR[1-9][0-9]{1,2}")
_SHORT_VT = re.compile("VT([1-9][0-9]{0,2})[A-Z]?")
#: R.A.F. transmitting valves whose numbers are U.S. ones too and that the tables do not have, of its sets (T.1083, TR9,
#: T.1131) and of its radar, all from memory. Of other U.S. numbers nobody here knows a British tube.
_RAF_TOO = frozenset({"VT-25", "VT-50", "VT-51", "VT-62", "VT-90", "VT-98", "VT-127"})


def used_by_both(scheme: str, designation: str) -> bool:
    """Whether another service is known, or must be taken, to have used the short form of a number for another tube.

    The R.A.F. called receiving valves VR and a number, as the U.S. regulators are called short; the U.S. VT list runs
    without many gaps up to VT-289, and R.A.F. transmitting valves are VT and a number (bvws-valvenos, rtype-vt). The
    reverse goes by known numbers alone: few of the U.S. ones are British too, and most VT stamps are read rightly.
    """
    if scheme == OBSOLETE:
        return _SHORT_REGULATOR.fullmatch(designation) is not None
    if scheme == US_VT:
        return designation in _RAF_TOO
    match = _SHORT_VT.fullmatch(designation) if scheme == UK_SERVICES else None
    return match is not None and int(match[1]) <= _LAST_US_VT


def scheme_words(name: str) -> str:
    """A numbering scheme in the trade's words."""
    return BY_KEY[name].words if name in BY_KEY else name
