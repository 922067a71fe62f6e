"""Forms of one type: how they are built, how they differ, and what they take from the type they are forms of.

What the letters mean: tcuk-retma and wiki-list (source tables). Types and figures: fixtures/reference.
"""

from dataclasses import replace

import pytest

from tests.tubes.rules.bench import as_judged, bench, formed
from tubes.rules.figures import Figure, TypeFigures, Word
from tubes.rules.forms import Build, Forms, as_form, build_of, with_figures
from tubes.rules.judge import judge, kin_finding
from tubes.rules.judge_parts import Conditions, Judgement
from tubes.rules.lending import Lender
from tubes.rules.relations import PLAIN_FORM, RUGGEDIZED, VARIANT, Kinship, kinship
from tubes.rules.stamp import DesignationRow


def kin() -> Kinship:
    found = bench().kin
    assert isinstance(found, Kinship)
    return found


def text(judgement: Judgement, check: str) -> str:
    found = judgement.of(check)
    assert found is not None, check
    return found.text


@pytest.mark.parametrize(
    ("name", "build"),
    [
        ("6SK7", Build("6SK7")),
        ("6SK7GT", Build("6SK7", envelope="GT")),
        ("6V6GT/G", Build("6V6", envelope="GT")),
        ("6SN7WGTA", Build("6SN7", ruggedized=True, envelope="GT", issue="A")),
        ("5R4GY", Build("5R4", envelope="G", low_loss=True)),
        ("5U4GB", Build("5U4", envelope="G", issue="B")),
        ("6AK5W", Build("6AK5", ruggedized=True)),
        ("1E5GP", None),  # another base
        ("E80CC", None),  # letters behind tell the kind
        ("6SN7EH", None),
    ],
)
def test_how_a_number_is_built(name: str, build: Build | None) -> None:
    assert build_of(name) == build


@pytest.mark.parametrize(
    ("wanted", "candidate", "words", "stands_in"),
    [
        ("6SK7", "6SK7GT", "small glass for metal", False),
        ("6V6GT", "6V6G", "large glass for small glass", False),
        ("6AK5", "6AK5W", "ruggedized", True),
        ("6SN7GT", "6SN7GTB", "a later issue, B", True),
        ("6SN7GTB", "6SN7GT", "an earlier issue: it lacks what the later raised", False),
        ("6SJ7", "6SJ7WGT", "small glass for metal, ruggedized", False),
        ("6V6GT", "6V6GTY", "low-loss base", True),
    ],
)
def test_how_forms_differ(wanted: str, candidate: str, words: str, stands_in: bool) -> None:
    found = kin().forms.between(wanted, candidate)
    assert found is not None and (found.words, found.stands_in) == (words, stands_in)


def test_other_numbers_are_no_forms() -> None:
    for one, other in (("6SK7", "6SJ7"), ("12SK7", "6SK7"), ("6SN7GT", "6SL7GT"), ("100TH", "100TL"), ("6L6", "1614")):
        assert kin().forms.between(one, other) is None


@pytest.mark.parametrize(
    ("form", "of"),
    [
        ("6SH7GT", "6SH7"), ("6SN7W", "6SN7GT"), ("6SL7W", "6SL7GT"),
        ("6072A", "6072"), ("5U4WGB", "5U4GB"), ("6SK7MG", "6SK7"),
    ],
)  # fmt: skip
def test_a_form_takes_what_it_lacks_and_says_so(form: str, of: str) -> None:
    found = as_judged(of, form)
    assert found.verdict == "with care" and not found.unknown
    assert f"is taken from {of}" in text(found, "form") and "bulb size" in text(found, "form")
    assert ("shielding" in text(found, "form")) == (form != "5U4WGB")  # a rectifier needs none
    assert f"(taken from {of})" in text(found, "kind").replace("; candidate", ") (candidate")
    told = {one["check"]: one["from"] for one in found.taken if one["type"] == form}
    assert told["kind"] == told["base"] == of and "kinship" not in told


def test_figures_of_its_own_always_stand() -> None:
    """5U4GB: 275 mA of its own, 225 mA of the 5U4G (from memory)."""
    found = as_judged("5U4G", "5U4GB", output_ma=260)
    assert found.of("dc output").verdict == "fits"  # type: ignore[union-attr]
    assert "form" not in {one.check for one in found.findings}
    assert as_judged("5U4GB", "5U4G", output_ma=260).verdict == "unsuitable"
    base = TypeFigures("9Q9", {"heater_v": Figure(6.3), "mu": Figure(20)}, {"kind": Word("triode")})
    own = TypeFigures("9Q9GT", {"heater_v": Figure(12.6)})
    made = as_form(own, Forms.of(["9Q9", "9Q9GT"]), {"9Q9": base})
    assert (made.number("heater_v"), made.number("mu"), made.word("kind")) == (12.6, 20, "triode")
    assert made.differs == ("heater voltage 12.6 V, that of 9Q9 6.3 V",) and made.taken_from == "9Q9"


def test_later_issues_of_the_tables_stand_in_and_not_the_reverse() -> None:
    """6SN7GTA and GTB: 450 V and 5 W where the GT has 300 V and 2.5 W (ratings-conflicts.md; GTB from memory)."""
    for later in ("6SN7GTA", "6SN7GTB"):
        assert as_judged("6SN7GT", later).verdict == "fits"
        back = as_judged(later, "6SN7GT")
        assert back.verdict == "unsuitable" and "it lacks what the later raised" in text(back, "kinship")
        assert "450 V" in text(back, "plate voltage") and "300 V" in text(back, "plate voltage")
    assert as_judged("6SN7GTA", "6SN7GTB").verdict == "fits"
    rugged = as_judged("6SN7GTA", "6SN7WGTA")
    assert rugged.verdict == "with care" and "taken from 6SN7GTA" in text(rugged, "form")
    assert as_judged("6V6GT", "6V6GTA").verdict == "fits" and as_judged("6V6GTA", "6V6GT").verdict != "fits"


def test_a_contradiction_with_its_type_is_told() -> None:
    """6146B: heater of 1.125 A against 1.25 A (ratings.csv)."""
    told = as_judged("6146", "6146B").consequences
    assert (
        "look: own figures of 6146B differ from those of its type: heater current 1.125 A, that of 6146A 1.25 A" in told
    )


def test_nothing_is_taken_from_a_later_issue_or_a_ruggedized_build() -> None:
    later = TypeFigures("9Q9GTB", {"plate_v_max": Figure(450)}, {"kind": Word("triode")})
    strong = TypeFigures("9Q9WGT", {"plate_v_max": Figure(400)}, {"kind": Word("triode")})
    forms = Forms.of(["9Q9GT", "9Q9GTB", "9Q9WGT"])
    plain = TypeFigures("9Q9GT")
    assert as_form(plain, forms, {"9Q9GTB": later, "9Q9WGT": strong}) == plain


def test_a_figure_that_neither_has_is_not_asked_of_a_form() -> None:
    """What no table gives of the 829: the 829B works where that one does."""
    found = as_judged("829", "829B")
    assert found.verdict == "with care" and "not asked: " in text(found, "kinship")
    assert as_judged("6AL5", "6H6GT").verdict != "with care"  # a stranger is asked


def test_a_taken_capacitance_is_never_alike() -> None:
    """A glass tube has other capacitances than the metal one whose figure it takes."""
    found = as_judged("6SK7", "6SK7GT", tuned=True)
    assert found.verdict == "with care"
    assert found.of("input capacitance").verdict == "with care"  # type: ignore[union-attr]
    assert any("capacitance of another build" in words for words in found.consequences)
    own = as_judged("6AK5", "5654", tuned=True)  # own row, but for the grid-plate capacitance
    assert own.of("grid-plate capacitance").verdict == "with care"  # type: ignore[union-attr]
    assert as_judged("6AK5", "5654").verdict == "fits"


def test_forms_are_relatives_with_a_word() -> None:
    found = {one.type: one for one in kin().relatives("6J5")}
    assert (found["6J5GT"].relation, found["6J5GT"].form) == (VARIANT, "small glass for metal")
    assert found["6J5GT"].derived and found["6J5GT"].note == "another form of 6J5: small glass for metal"
    assert found["6J5G"].form == "large glass for metal" and not found["6J5G"].derived  # a row says so, too
    made = kinship([], ["9Q9", "9Q9W", "9Q9GT"])
    told = {(one.type, one.relation) for one in made.relatives("9Q9")}
    assert told == {("9Q9W", RUGGEDIZED), ("9Q9GT", VARIANT)}
    assert ("9Q9", PLAIN_FORM) in {(one.type, one.relation) for one in made.relatives("9Q9W")}


def test_a_row_that_says_otherwise_stands_before_the_letters() -> None:
    rows = [DesignationRow("9Q9", "maker", "9Q9W", "near", "never plug one for the other")]
    (one,) = kinship(rows, ["9Q9", "9Q9W"]).relatives("9Q9")
    assert one.relation == "near" and one.never and not one.derived
    lead = [DesignationRow("9Q9", "maker", "9Q9W", "near", "unchecked: heard of")]
    assert [one.relation for one in kinship(lead, ["9Q9", "9Q9W"]).relatives("9Q9")] == [RUGGEDIZED, "near"]


def test_every_form_of_a_rated_type_is_judged_in_its_place() -> None:
    """No form is left "not known" in the place of the type that it takes its figures from."""
    taken = {name: one.taken_from for name, one in formed().items() if one.borrows and not one.taken_words}
    assert len(taken) > 50
    for form, of in taken.items():
        verdict = as_judged(of, form).verdict
        assert verdict == "with care", (of, form, verdict)


def test_a_glass_letter_tells_the_envelope_of_its_tube() -> None:
    """GT is small glass (tcuk-retma), whatever is not known of the other."""
    said = text(as_judged("6SR7", "6SR7GT"), "kinship")
    assert "small glass for an envelope that the letters do not tell" in said


def test_forms_of_one_issue_drop_alike() -> None:
    """The tube inside is the same; another issue (5U4GB) is another tube to the supply (from memory)."""
    for wanted, candidate in (("5Y3GT", "5Y3G"), ("5R4GY", "5R4WGY"), ("6X5GT", "6X5"), ("6X5", "6X5GT")):
        found = as_judged(wanted, candidate)
        assert found.of("rectifier drop") is None and found.verdict == "with care"
        said = " ".join(finding.text for finding in found.findings)
        assert "shield" not in said and "alignment" not in said  # a rectifier needs neither
    assert as_judged("5U4G", "5U4GB").of("rectifier drop") is not None
    assert as_judged("5U4G", "5R4GY").of("rectifier drop") is not None


def test_a_capacitance_taken_from_the_type_is_not_called_its_own() -> None:
    found = as_judged("6SK7", "6SK7MG", tuned=True)
    said = text(found, "grid-plate capacitance")
    assert "own figure of 6SK7MG is not known" in said and "Realign" in said
    assert not any("neutralize" in words for words in (said, *found.consequences))  # nothing is neutralized there
    stage = as_judged("6SK7", "6SK7MG", tuned=True, neutralized=True)
    assert text(stage, "grid-plate capacitance").endswith("Re-neutralize.")


SHELL = "Its shell is on a base pin: see that nothing else of the set is tied to that socket pin."


@pytest.mark.parametrize(
    ("glass", "metal"),
    [
        ("6V6GT", "6V6"), ("6SJ7GT", "6SJ7"), ("6L6G", "6L6"), ("6F6G", "6F6"), ("6H6GT", "6H6"), ("6X5GT", "6X5"),
        ("6J5G", "6J5"), ("6J5GT", "6J5"), ("6K8GT", "6K8"), ("6L6GC", "6L6"),  # the last three by their letters
    ],
)  # fmt: skip
def test_what_to_mind_is_of_the_tube_that_goes_in(glass: str, metal: str) -> None:
    """Whether a row relates the two or their letters do. A shell on pin 1 (octal metal tubes: from memory)."""
    there, back = as_judged(glass, metal), as_judged(metal, glass)
    told = text(there, "kinship")
    assert SHELL in told and "shield" not in told
    assert any(said.startswith("metal for glass: its shell is on") for said in there.consequences)
    told = text(back, "kinship")
    assert "shell" not in told and ("shield" in told) == (metal != "6X5") and "room" in told
    assert not any("shell" in said for said in back.consequences)


def test_a_metal_tube_of_another_number_has_a_shell_too() -> None:
    """1614 for 6L6G: no form of it (tubecad-1614)."""
    told = as_judged("6L6G", "1614").consequences
    assert any("its shell is on base pin 1: see that nothing else" in said for said in told)
    assert not any("shell" in said for said in as_judged("6L6", "1614").consequences)


MAY = "may be metal: its shell may be on a base pin"


@pytest.mark.parametrize(
    "plain",
    [
        "6SH7", "6SR7", "6SC7", "6SF5", "6AC7", "6ST7", "12SC7", "12SG7", "12SH7", "12A6", "12C8", "12K8", "12H6",
    ],
)  # fmt: skip
@pytest.mark.parametrize("letters", ["GT", "G"])
def test_an_octal_tube_without_a_letter_may_be_metal(plain: str, letters: str) -> None:
    """Octal numbers without a letter are metal for the most part (from memory); the tables do not say so of these."""
    there, back = as_judged(plain + letters, plain), as_judged(plain, plain + letters)
    assert f"It {MAY}, see that nothing else" in text(there, "kinship")
    assert any(said.startswith("may be metal: its shell may be on") for said in there.consequences)
    assert not any("may be metal" in said for said in (*back.consequences, text(back, "kinship")))


def test_if_it_is_glass_it_asks_for_what_glass_asks_for() -> None:
    assert "If it is glass, see that bulb and shield have room" in text(as_judged("6SR7GT", "6SR7"), "kinship")
    assert "If it is glass, see that its bulb has room." in text(as_judged("0Z4G", "0Z4"), "kinship")  # a rectifier


def test_one_of_another_number_may_be_metal_too() -> None:
    assert any(said.startswith("may be metal: its shell") for said in as_judged("6SN7GT", "6SC7").consequences)
    for wanted, candidate in (("6L6G", "KT66"), ("5U4G", "80"), ("12AU7", "6AB4"), ("6V6GT", "7C5"), ("6SQ7", "6SR7")):
        assert not any("shell" in said for said in as_judged(wanted, candidate).consequences)


def test_what_its_note_calls_glass_is_not_taken_for_metal() -> None:
    noted = {"base": Word("octal"), "note": Word("octal, glass envelope")}
    found = judge(formed()["6SN7GT"], TypeFigures("9Q9", words=noted), Conditions(), bench())
    assert not any("shell" in said for said in found.consequences)
    found = judge(formed()["6SN7GT"], TypeFigures("9Q9", words={"base": Word("octal")}), Conditions(), bench())
    assert any("may be metal" in said for said in found.consequences)


def test_a_row_of_the_keepers_own_hides_no_shell() -> None:
    rows = [DesignationRow("9Q9", "maker", "9Q9GT", "variant", "smaller bulb")]
    made = replace(bench(), kin=kinship(rows, ["9Q9", "9Q9GT"]))
    told = kin_finding("9Q9GT", "9Q9", made)
    assert told is not None and told.text.endswith(f"of 9Q9GT itself is said: smaller bulb. {SHELL}")
    told = kin_finding("9Q9", "9Q9GT", made)
    assert told is not None and "smaller bulb. It may need a shield" in told.text


def test_a_note_says_whose_property_it_tells() -> None:
    """designations.csv: 1625 has the 12.6 V heater and the 7-pin base; 6SK7GT the glass; 6146B the dissipation."""
    for wanted, candidate, said in (
        ("1625", "807", "; of 1625 itself is said: 12.6 V heater, 7-pin base"),
        ("6SK7GT", "6SK7", "; of 6SK7GT itself is said: glass GT envelope"),
        ("6146B", "6146", "; of 6146B itself is said: later build"),
    ):
        assert said in text(as_judged(wanted, candidate), "kinship")
        assert "itself is said" not in text(as_judged(candidate, wanted), "kinship")


def test_another_base_or_heater_of_its_own_takes_nothing() -> None:
    """avo-vdm23 has an octal 6C4A; the 6C4 is a 7-pin miniature (RCA HB-3, from memory)."""
    base = TypeFigures("9Q4", {"heater_v": Figure(6.3), "mu": Figure(17)}, {"base": Word("7-pin-miniature")})
    for words, numbers in (
        ({"base": Word("octal")}, {}),
        ({}, {"heater_v": Figure(12.6, "handbook", "avo-vdm23")}),
    ):
        made = as_form(TypeFigures("9Q4A", numbers, words), Forms.of(["9Q4", "9Q4A"]), {"9Q4": base})
        assert made.number("mu") is None and not made.taken_from and made.differs


@pytest.mark.parametrize(
    ("name", "other", "form"),
    [("PEN13", "PEN13A", False), ("ECH3", "ECH3G", False), ("41", "41M", False), ("6SN7", "6SN7GT", True)],
)
def test_letters_in_a_list_of_all_makers_tell_a_form_of_american_numbers_alone(name, other, form):
    """avo-vdm23: Pen13 has 13 V and Pen13A 33 V; ECH3 side contacts, ECH3G octal; 41 UX6, 41M octal."""
    forms = Forms.of([name, other], of_every_maker=[name, other])
    assert (forms.between(name, other) is not None) is form and bool(forms.others(name)) is form


def test_types_of_a_handbook_alone_lend_along_rows_and_never_by_letters() -> None:
    """5687WA by its row a ruggedized 5687, of which avo-vdm23 alone tells (noval, 5,000 micromho)."""
    base = TypeFigures("9Q4", {"gm_umho": Figure(5000, "handbook", "avo-vdm23")}, {"base": Word("noval")}, lends=False)
    own, forms = TypeFigures("9Q4WA"), Forms.of(["9Q4", "9Q4WA"])
    assert as_form(own, forms, with_figures({"9Q4": base})) == own
    by_row = replace(forms, lenders={"9Q4WA": (Lender("9Q4", "ruggedized", ""),)})
    made = as_form(own, by_row, with_figures({"9Q4": base}))
    assert made.number("gm_umho") == 5000 and made.word("base") == "noval" and made.taken_from == "9Q4"
    assert made.numbers["gm_umho"].grade == "handbook" and made.numbers["gm_umho"].taken and made.borrows
    surer = TypeFigures("9Q5", {"gm_umho": Figure(6000)})
    both = replace(forms, lenders={"9Q4WA": (*by_row.lenders["9Q4WA"], Lender("9Q5", "ruggedized", ""))})
    assert as_form(own, both, with_figures({"9Q4": base, "9Q5": surer})).taken_from == "9Q5"
    other = TypeFigures("9Q4WA", {}, {"base": Word("octal")})
    assert not as_form(other, by_row, with_figures({"9Q4": base})).taken_from


def test_a_base_known_to_differ_is_asked_of_forms_too() -> None:
    """Octal for a 7-pin miniature (avo-vdm23, 6C4A and 6C4): whatever else is not known, it does not plug in."""
    wanted, other = (
        TypeFigures(name, {}, {"base": Word(base)}) for name, base in (("9Q4A", "octal"), ("9Q4", "noval"))
    )
    found = judge(wanted, other, Conditions(), replace(bench(), kin=kinship([], ["9Q4", "9Q4A"])))
    assert found.of("base") is not None and found.rank > 1
