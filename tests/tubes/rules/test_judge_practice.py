"""Judgements that handbooks, bulletins and the trade have made before us; what they say stands beside each.

``checks``: the findings that decide. Keys of texts are those of the source tables.
"""

import pytest

from tests.tubes.rules.bench import judged

FITS, CARE, REWIRE, UNKNOWN, NO = "fits", "with care", "rewire or adapter", "not known", "unsuitable"
SERIES = {"series": True}

CASES = [
    # Heater current decides in series strings: T. Hannah, MAARC Newsletter, Feb. 1991 (maarc-1991). 0.6 A, not 0.3 A.
    ("6SL7GT", "5691", SERIES, NO, {"heater current": NO, "base": FITS}),
    ("6SL7GT", "5691", {}, CARE, {"heater current": CARE}),
    # GE Five-Star booklet (ge-fivestar) pairs 5814A with 12AU7; 0.175 A against 0.15 A is from memory.
    ("12AU7", "5814A", SERIES, NO, {"heater current": NO}),
    ("12AU7", "5814A", {}, CARE, {"heater current": CARE, "mu": FITS}),
    # The other way a shunt takes the rest (Ohm's law; common practice, no source): two steps down, not a plug-in.
    ("5814A", "12AU7", SERIES, REWIRE, {"heater current": REWIRE}),
    # Pan American Airways, Ground Radio Bulletin 32 (1951, paa-32): approved in one amplifier only; elsewhere the 5U4G.
    ("5U4G", "5R4GY", {}, CARE, {"rectifier drop": CARE, "peak plate voltage": FITS, "dc output": FITS}),
    # P. Lankshear, Electronics Australia (lankshear-80): the 5Y3 is the 80 on an octal base.
    ("80", "5Y3GT", {}, REWIRE, {"base": REWIRE, "heater voltage": FITS, "heater current": FITS}),
    # J. W. Stokes, 70 Years of Radio Tubes (stokes-70y), audioXpress 2018: 6L6 and 6L6G 19 W, 6L6GC 30 W.
    ("6L6G", "6L6GC", {}, FITS, {"plate dissipation": FITS, "base": FITS}),
    ("6L6GC", "6L6G", {}, NO, {"plate dissipation": NO}),
    # Tube CAD Journal, Dec. 2000 (tubecad-1614): the 1614 is a selected 6L6 with somewhat higher ratings.
    ("6L6", "1614", {}, FITS, {"kinship": FITS, "plate voltage": FITS}),
    # K7FM, Amps list 2007, quoting QST Feb. 1941 (k7fm-1625): the 1625 is an 807 with 12.6 V heater and 7-pin base.
    ("807", "1625", {}, NO, {"heater voltage": NO, "base": REWIRE, "plate voltage": FITS, "transconductance": FITS}),
    ("807", "1625", {"supply_v": 12.6}, REWIRE, {"heater voltage": FITS, "base": REWIRE, "top cap": FITS}),
    ("1625", "807", {}, REWIRE, {"heater voltage": REWIRE, "base": REWIRE}),
    # T. Mayer, vinylsavor, Sept. 2022 (vinylsavor-845): same base and filament, mu 5.3 against 12.
    ("211", "845", {}, NO, {"heater voltage": FITS, "heater current": FITS, "base": FITS, "mu": NO}),
    # N6JV museum (n6jv-4-400a): the 4-400A is the 4-250A with more dissipation.
    ("4-250A", "4-400A", {}, FITS, {"plate dissipation": FITS, "heater current": FITS}),
    ("4-400A", "4-250A", {}, NO, {"plate dissipation": NO}),
    # U., private page (uli-866a): 866A 2.5 V 5 A; stc-872a: 872A 5 V 7.5 A on the larger base.
    ("866A", "872A", {}, NO, {"heater voltage": NO, "base": REWIRE}),
    # 3B28, the xenon tube for the 866A: common practice, no source.
    ("866A", "3B28", {}, CARE, {"base": FITS, "heater current": FITS, "rectifier drop": CARE}),
    # Suppressor of the EL34 on pin 1, which the 6L6 leaves free: common practice, no source (figures: open-tubes-py).
    ("6L6", "EL34", {}, REWIRE, {"base": REWIRE, "heater current": CARE}),
    # 12 W against 19 W (holla-pentode, stokes-70y).
    ("6L6", "6V6", {}, NO, {"plate dissipation": NO, "base": FITS}),
    # MAARC Newsletter, Feb. 1991 (maarc-1991): 6C5 and 6J5 very similar, usually interchanged in sets.
    ("6C5", "6J5", {}, CARE, {"kinship": CARE, "base": FITS, "mu": FITS}),
    # Heaters of 6.3 and 12.6 V (pcsig-1432): common practice, no source.
    ("6SK7", "12SK7", {}, NO, {"heater voltage": NO, "base": FITS, "transconductance": FITS}),
    ("12SK7", "6SK7", SERIES, NO, {"heater current": NO}),
    # open-tubes-py: mu of the 5751 70, not 100; it is listed as high-reliability 12AX7 (ge-fivestar).
    ("12AX7", "5751", {}, CARE, {"mu": CARE, "base": FITS}),
    ("12AX7", "5751", SERIES, NO, {"heater current": NO}),
    # 5654 and 6AK5W are one double-branded tube, the W form of the 6AK5: from memory.
    ("6AK5", "5654", {}, FITS, {"kinship": FITS}),
    ("5654", "6AK5", {}, CARE, {"kinship": CARE}),
    # Russian Wikipedia, 6SN7 (wiki-6sn7): the 7N7 is the same on a loctal base.
    ("6SN7GT", "7N7", {}, REWIRE, {"base": REWIRE, "mu": FITS, "heater current": FITS}),
    # rtype-807: 6AQ5 and 6V6GT in short; 250 V is the 6AQ5's maximum (open-tubes-py), so the place decides.
    ("6V6GT", "6AQ5", {}, NO, {"plate voltage": NO, "base": REWIRE}),
    ("6V6GT", "6AQ5", {"plate_v": 225, "screen_v": 225}, REWIRE, {"plate voltage": FITS, "base": REWIRE}),
    # onpedia-vr: regulators of 75 and 90 V; the running voltage is the whole point.
    ("0A3", "0B3", {}, NO, {"running voltage": NO, "base": FITS}),
    # 150 V both (0A2: from memory), but 30 mA against 40 mA and another base.
    ("0D3", "0A2", {}, REWIRE, {"running voltage": FITS, "largest current": CARE, "base": REWIRE}),
    # open-tubes-py, pcsig-1432: the 6X4 is the 6X5GT in miniature.
    ("6X5GT", "6X4", {}, REWIRE, {"base": REWIRE, "heater current": FITS, "dc output": FITS}),
    # Mercury vapour for high vacuum on one base: common practice, no source.
    ("5Z3", "83", {}, CARE, {"kind": CARE, "base": FITS}),
    # The 6X5 where a cold 0Z4 stood wants a heater supply that nobody has stated: common practice, no source.
    ("0Z4", "6X5GT", {"output_ma": 60}, UNKNOWN, {"heater voltage": UNKNOWN}),
    # ratings-conflicts.md: 450 V, 5 W belong to 6SN7GTA/GTB; plain GT is 300 V.
    ("6SN7GT", "6SN7GT", {"plate_v": 450}, NO, {"plate voltage": NO}),
    # Remote for sharp cutoff on one base (78 and 77): common practice, no source.
    ("77", "78", {}, CARE, {"cutoff": CARE, "base": FITS}),
    # Two high-mu forms of one bottle (304TL, 304TH): mu 12 and 20, from memory.
    ("304TL", "304TH", {}, CARE, {"mu": CARE, "heater current": FITS}),
]


@pytest.mark.parametrize(("wanted", "candidate", "conditions", "verdict", "checks"), CASES)
def test_as_the_trade_has_judged(wanted, candidate, conditions, verdict, checks) -> None:  # type: ignore[no-untyped-def]
    found = judged(wanted, candidate, **conditions)
    told = {finding.check: finding.verdict for finding in found.findings}
    assert {check: told.get(check) for check in checks} == checks
    assert found.verdict == verdict, told
