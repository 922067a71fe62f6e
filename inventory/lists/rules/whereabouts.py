"""Words that say that a thing is not on the shelf: lent, gone for good, in a set. In the notes, or in place of a place.

Such a row is never written as lying here unasked. Said the other way round (on loan from, given to me by) it is here:
what is borrowed is somebody else's, what was given to the keeper is not gone. Ways of writing: common practice, no
source.
"""

import re

from inventory.holdings.rules.cells import Remark, shown
from inventory.lists.rules import fields as f
from inventory.lists.rules.row_cells import RowCells
from inventory.lists.rules.row_result import FITTED, GONE, LENT, Away

_LENT = re.compile(
    r"(?:(?:it |is |was |now |currently )*(?:on (?:permanent )?loan|loaned(?: out)?|lent(?: out)?)(?: to| with| at)?|"
    r"(?:ist )?(?:verliehen|ausgeliehen|verborgt|leihweise)(?: an| bei)?|prêtée?s?(?: à| chez)?|en prêt(?: à| chez)?|"
    r"uitgeleend(?: aan)?|in prestito(?: a)?|prestat[aoei](?: a)?|wypożyczon[aey](?: do| dla)?|pożyczon[aey]|"
    r"(?:za)?půjčen[aoý](?: komu)?|одолжен[аоы]?)(?![^\W\d_])\s*:?\s*(?P<who>.*)",
    re.IGNORECASE | re.DOTALL,
)
_FROM = r"(?:from|by|of|von|vom|de|du|par|van|door|da|dal(?:la)?|od|ode|u|у|от)"
_ME = r"(?:me|us|mich|mir|uns|moi|nous|mij|ons|noi|mi|nam|mně|nám|мне|нам)"
#: `on loan from the museum`, `in prestito da Rossi`, `leihweise von Holm`: what is here and belongs to somebody.
_BORROWED = re.compile(
    rf"(?:(?:it |is |was |still )*(?:on (?:permanent )?loan|loaned|lent|borrowed)(?: to {_ME})?|(?:ist )?(?:leihweise|"
    r"(?:aus)?geliehen|leihgabe|dauerleihgabe|ausgeborgt)|en prêt|prêtée?s?(?: à moi)?|in prestito|"
    r"prestat[aoei](?: a me)?|in bruikleen|geleend|(?:wy)?pożyczon[aey]|(?:za|vy)?půjčen[aoyéý]|одолжен[аоы]?|"
    rf"взят[аоы]? (?:взаймы|на время))\s*(?:{_FROM}\b|'s\b)\s*:?\s*(?P<who>\S.*)|"
    r"(?:empruntée?s? (?:à|au|chez|de)|belongs to|property of|gehört|"
    r"eigentum (?:von|des|der)|appartient (?:à|au)|propriété (?:de|du)|eigendom van|"
    r"(?:è )?di proprietà di|appartiene a|własność|majetek|vlastnictví|собственность|принадлежит)"
    r"\s*:?\s*(?P<owner>\S.*)",
    re.IGNORECASE | re.DOTALL,
)
#: Behind a word of leaving: it left somebody else's hands for the keeper's, or something else left for it.
_CAME = re.compile(
    rf"\s*(?:(?:(?:to|an|à|aan|a)\s+)?{_ME}\b|(?:by|from|von|vom|par|door|da|dal(?:la)?|van|od|ode|przez|от|у)\s+"
    rf"(?!{_ME}\b)|(?:to )?(?:get|obtain)\b)",
    re.IGNORECASE,
)
_BACK = re.compile(
    r"\b(?:back|returned|zurück|rendue?s?|terug|restituit\w+|zwróc\w+|vrácen\w*|вернул\w*)\b", re.IGNORECASE
)
_YEAR = re.compile(
    r"[\s,(]*(?:in |im |en |nel |since |seit |depuis )?\b(?:19|20)[0-9]{2}\b.*", re.IGNORECASE | re.DOTALL
)
_SOME = r"(?:(?:it |is |was |were |has been |all |both |these |[0-9]{1,3} |one |ist |wurden? )*)"
_GONE = re.compile(
    rf"{_SOME}(?:sold(?! (?:as|by|with|to me|out of)\b)|given (?:away|to)|gave to|traded (?:to|away)|scrapped|"
    r"discarded|thrown (?:out|away)|"
    r"gone(?=\s*(?:$|[0-9(,;:.!-]|(?:to|for|since|in|at|with|away|from|already|missing)\b))|verkauft|"
    r"verschenkt|entsorgt|weggeworfen|abgegeben|"
    r"vendue?s?|donnée?s? à|jetée?s?|verkocht|weggegeven|weggegooid|vendut[aoei]|regalat[aoei]|vendid[ao]s?|"
    r"sprzedan[aey]|oddan[aey]|wyrzucon[aey]|prodán[aoyí]?|vyhozen[aoý]|продан[аоы]?|отдан[аоы]?|выброшен[аоы]?)(?![^\W\d_])",
    re.IGNORECASE,
)
_SET_WORDS = (
    r"(?:set|radio|receiver|transmitter|amp|amplifier|use|service|gerät|radio|empfänger|sender|betrieb|poste|appareil|"
    r"toestel|apparaat|gebruik|apparecchio|radio|urządzeniu|radiu|přístroji|rádiu|provozu|приборе|аппарате|приёмнике|"
    r"приемнике|работе|service)"
)
_FITTED = re.compile(
    rf"(?:in|im|in the|in a|en|dans le|dans l['’]|dans un|in het|nel|nell['’]|w|v|ve|в)\s*{_SET_WORDS}|"
    r"(?:installed|fitted|eingebaut|in gebrauch|monté|ingebouwd|montata|zamontowana|namontovaná|установлена)",
    re.IGNORECASE,
)
_CLAUSES = re.compile(r"[;.,(\n]\s*")


def find_away(row: RowCells) -> Away | None:
    """What a row says of a thing that is not on the shelf; the remark goes to the row."""
    found = _place(row.text(f.PLACE)) or next(filter(None, (_said(row, field) for field in _SAY)), None)
    if found:
        told = {LENT: "it is lent", GONE: "it is gone", FITTED: "it stands in a set"}[found.kind]
        place = ", and is no place" if found.field == f.PLACE else ""
        row.remark(found.field, Remark(f"{shown(found.words)}: {told} by the list{place}", "say whether it is here"))
    return found


def find_lender(row: RowCells) -> str:
    """Whose a thing is that is here on loan by the words of its row; "" where none say so. The remark goes to the row.

    The words may stand in place of a place, which they are not.
    """
    for field in (f.PLACE, *_SAY):
        text = row.text(field)
        for clause in (text,) if field == f.PLACE else _CLAUSES.split(text[:1000]):
            who = lender_in(clause)
            if who and (field == f.PLACE or not _BACK.search(text)):
                reason = f"{shown(clause.strip())}: it belongs to {shown(who)} by the list, and is here on loan"
                row.remark(field, Remark(reason, "say on its page whose it is and until when it is here"))
                return who[:120]
    return ""


def lender_in(clause: str) -> str:
    """Of whom a thing is borrowed, where a clause says nothing else; else ""."""
    found = _BORROWED.fullmatch(clause.strip())
    who = (found["who"] or found["owner"]) if found else ""
    return " ".join(_YEAR.sub("", who).split()).strip(" -:,.") or who


_SAY = (f.NOTE, f.STATE, f.CONDITION)


def _place(text: str) -> Away | None:
    bare = text.strip().strip("()[].! ")
    if _FITTED.fullmatch(bare):
        return Away(FITTED, f.PLACE, text)
    return _away(text, f.PLACE) if text else None


def _said(row: RowCells, field: str) -> Away | None:
    for clause in _CLAUSES.split(row.text(field)[:1000]):
        if found := _away(clause.strip(), field):
            whole = row.text(field)
            return None if found.kind == LENT and _BACK.search(whole) else found
    return None


def _away(clause: str, field: str) -> Away | None:
    if _BORROWED.fullmatch(clause):
        return None
    if gone := _GONE.match(clause):
        return None if _CAME.match(clause, gone.end()) else Away(GONE, field, clause)
    lent = _LENT.fullmatch(clause)
    if lent and lent["who"].strip() and not _BACK.search(clause):
        who = " ".join(_YEAR.sub("", lent["who"]).split()).strip(" -:,")
        return Away(LENT, field, clause, who[:120] or " ".join(lent["who"].split())[:120])
    if lent and field == f.PLACE:
        return Away(LENT, field, clause, "")
    return None
