"""Currency codes: those of ISO 4217 in use, as pycountry holds them, and former ones, in which old bills are written.

Former codes: from memory of the list of historic denominations of ISO 4217, each of them checked against the Unicode
Common Locale Data Repository, which holds it too. Nothing is converted here.
"""

from functools import cache

import pycountry

#: Codes that stand for no money: none at all, and for tests.
NO_MONEY = frozenset({"XXX", "XTS"})
#: What the currency of a whole list says of a sign that several have (ISO 4217).
SHARED = {
    "$": frozenset({"USD", "CAD", "AUD", "NZD", "HKD", "SGD", "MXN"}),
    "kr": frozenset({"SEK", "NOK", "DKK", "ISK"}),
    "Fr.": frozenset({"CHF", "FRF", "BEF", "LUF"}),
    "¥": frozenset({"JPY", "CNY"}),
    "Mark": frozenset({"DEM", "DDM"}),
    "zł": frozenset({"PLN", "PLZ"}),
}
FORMER = frozenset(
    """
    ADP AFA ALK ANG AOK AON AOR ARA ARP ATS AZM BAD BEC BEF BEL BGL BGN BOP BRB BRC BRE BRN BRR BUK BYB BYR CSD CSK CUC
    CYP DDM DEM ECS ECV EEK ESA ESB ESP FIM FRF GEK GHC GNS GQE GRD GWE GWP HRD HRK IEP ILP ILR ISJ ITL LTL LTT LUC LUF
    LUL LVL LVR MGF MLF MRO MTL MTP MVP MXP MZE MZM NIC NLG PEI PES PLZ PTE RHD ROL RUR SDD SDP SIT SKK SLL SRG STD SUR
    TJR TMM TPE TRL UAK UGS USS UYP VEB VEF XEU XFO XFU XRE YDD YUD YUM YUN ZAL ZMK ZRN ZRZ ZWD ZWL ZWR
    """.split()
)


@cache
def _in_use() -> frozenset[str]:
    return frozenset(one.alpha_3 for one in pycountry.currencies) - NO_MONEY


def is_currency(code: str) -> bool:
    """Whether three capitals are the code of a currency, one in use or a former one."""
    return code in FORMER or code in _in_use()


def no_currency(code: str) -> str:
    """Why a code is refused, and what would do."""
    return f"{code} is no currency code of ISO 4217, of today or of former days; write one such as EUR, USD, GBP or DEM"


def currency_refused(code: str) -> str:
    """As above of what somebody entered; empty where it is a currency, or nothing was entered."""
    return "" if not code or is_currency(code) else no_currency(code) + "."
