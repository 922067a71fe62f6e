"""Figures for hazards as page and command. Values: L9.1 to L9.6, with their sources in the rules' tests."""

import pytest

from tests.commands import answer_of, refused, told
from tests.pages import page_text

PAGE = "/hazards/figures/"


def test_the_command():
    asked = ("--capacitor", "8 mfd", "--volts", "1050 V", "--bleeder", "100 kohm", "--within", "300 s")
    answer, _ = answer_of("stored_energy", *asked)
    assert answer["energy_j"] == pytest.approx(4.41) and answer["discharge_s"] == pytest.approx(2.43561795018)
    assert answer["bleeder_w"] == pytest.approx(11.025)
    assert answer["largest_bleeder_ohm"] == pytest.approx(12317202.7032)
    shown = told("stored_energy", *asked)
    assert "8 uF at 1050 V: 4.41 J" in shown and "bleeders open without warning" in shown


def test_several_capacitors():
    two = ("--capacitor", "8 mfd", "--capacitor", "8 mfd", "--volts", "100 V")
    assert answer_of("stored_energy", *two)[0]["capacitance_uf"] == pytest.approx(16)
    assert answer_of("stored_energy", *two, "--series")[0]["capacitance_uf"] == pytest.approx(4)


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (("--volts", "1050"), "--volts: '1050' cannot be read"),
        (("--volts", "0 V"), "voltage 0; expected more than 0"),
        (("--volts", "9 V", "--down-to", "0 V", "--bleeder", "1 ohm"), "voltage to come down to 0"),
    ],
)
def test_refusals(options, words):
    assert words in refused("stored_energy", "--capacitor", "8 mfd", *options)


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("query", "words"),
    [
        ("of=bank&capacitors=4+mfd,4+mfd&volts=1050+V&bleeder=100+kohm&within=300+s",
         ("4.41 J", "2.44 s", "11.03 W", "12317203 ohm")),
        ("of=bank&capacitors=8+mfd&volts=40+V&within=5+s", ("none is needed",)),
        # C V^2 / 2 of each at its own rating: 0.81 J and 2 x 0.72 J
        ("of=bank&capacitors=8+mfd+450+V,+2+x+4+mfd+600+V", ("2.25 J", "the highest 600 V")),
        ("of=fields&frequency=7+Mc", ("263.1", "0.699", "117.7", "0.313")),
        # L9.6 with bare figures, in the units that stand beside the fields
        ("of=lift&reach=40&height=30+cm&raised=75&weight=30", ("10.9 kg", "2.74 times", "40 was taken as 40 cm")),
        ("of=lift&reach=40+cm&height=30+cm&raised=75+cm&weight=30+kg", ("10.9 kg", "2.74 times that: a risk")),
    ],
)  # fmt: skip
def test_the_page(as_visitor, query, words):
    shown = page_text(as_visitor.get(f"{PAGE}?{query}"))
    assert all(one in shown for one in words), words
    assert "come first." in shown


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("query", "words"),
    [
        ("of=bank&capacitors=8&volts=1050+V", "cannot be read"),
        ("of=bank&capacitors=,&volts=1050+V", "No capacitor is named"),
        ("of=bank&capacitors=8+mfd&volts=-1+V", "expected more than 0"),
        ("of=bank", "This field is required"),
        ("of=bank&capacitors=8+mfd+450+V,+8+mfd", "Name the voltage across the bank"),
        ("of=bank&capacitors=8+mfd+450+V&in_series=on", "in series they share it"),
        ("of=bank&capacitors=0+x+8+mfd&volts=9+V", "expected 1 or more"),
        ("of=fields&frequency=60+Mc", "outside of 0.3 to 30 Mc"),
        ("of=lift&reach=99+cm&height=30+cm&raised=75+cm", "the equation knows 0 to 63 cm"),
    ],
)
def test_what_the_page_refuses(as_visitor, query, words):
    answer = as_visitor.get(f"{PAGE}?{query}")
    text = page_text(answer)
    assert answer.status_code == 422 and words in text and "No answer yet" in text and "Not saved" not in text


@pytest.mark.django_db
def test_nothing_asked(as_visitor):
    assert as_visitor.get(PAGE).status_code == 200 == as_visitor.get(f"{PAGE}?of=zz").status_code
