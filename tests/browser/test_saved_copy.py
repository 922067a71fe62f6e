"""The script of the saved copy in a real browser, without a signal: what it says of tubes not owned.

Mercury vapour rectifiers stand upright (uli-866a); VT-46-A is the 866A and may stand in for the 866 (designations.csv).
"""

import shutil

import pytest

from tests.factories import ChassisFactory, PositionFactory, TubeFactory, TubeTypeFactory

pytestmark = [pytest.mark.browser, pytest.mark.django_db, pytest.mark.usefixtures("reference")]

UPRIGHT = "Mercury vapour: keep upright"


@pytest.fixture
def answers(as_visitor, tmp_path):
    """``answers(texts)``: what the copy of the register as it stands answers to each, on a phone without a signal."""
    path = shutil.which("chromium") or shutil.which("chromium-browser")
    if path is None:
        pytest.skip("no Chromium on this machine (Debian: apt-get install chromium)")
    play = pytest.importorskip("playwright.sync_api", reason="Playwright is not installed (pip install .[test])")

    def ask(*texts):
        file = tmp_path / "copy.html"
        file.write_bytes(as_visitor.get("/pocket/saved-copy/?file=1").content)
        told, faults = {}, []
        with play.sync_playwright() as running:
            browser = running.chromium.launch(executable_path=path, args=["--no-sandbox", "--disable-gpu"])
            page = browser.new_context(offline=True, viewport={"width": 390, "height": 800}).new_page()
            page.on("pageerror", lambda fault: faults.append(str(fault)))
            page.goto(file.as_uri())
            for text in texts:
                page.fill("#q", text)
                page.press("#q", "Enter")
                told[text] = page.inner_text("#answer")
                assert page.evaluate("document.documentElement.scrollWidth") <= 390, text
            browser.close()
        assert faults == []
        return told

    return ask


def test_what_can_hurt_is_said_of_tubes_that_are_not_owned(answers):
    TubeFactory(type=TubeTypeFactory(name="866A"), marked="866A")
    told = answers("872A", "VT-46-A", "866A", "QX-99881")
    assert "You own none" in told["872A"] and f"Look at, if it is a 872A: {UPRIGHT}" in told["872A"]
    owned, other = told["VT-46-A"].split("Only a ruggedized form; you own none")  # the 866A, and the 866
    assert owned.startswith("866A") and "1 good" in owned and UPRIGHT in owned
    assert f"Look at: {UPRIGHT}" in other
    assert UPRIGHT in told["866A"] and "You own none" not in told["866A"]
    assert "Look at" not in told["QX-99881"]


def test_relatives_that_are_here_are_named_for_what_is_not(answers):
    for name in ("6SN7GT", "6SN7GT", "12SX7GT"):
        TubeFactory(type=TubeTypeFactory(name=name), marked=name)
    told = answers("6SN7", "12SN7GT", "807")
    owned, other = told["6SN7"].split("6SN7WGT", 1)  # both forms of the family
    assert "2 good" in owned and "You own none, and no set of yours calls for it." in other
    assert "A relative, with care: 2 good 6SN7GT (plain for ruggedized" in other
    assert "A relative, with care: 1 good 12SX7GT (variant; controlled for a plate supply" in told["12SN7GT"]
    assert "a relative" not in told["807"]


def test_a_mark_without_a_settled_type_says_where_it_may_serve(answers):
    place = PositionFactory(mark="V7", type=TubeTypeFactory(name="6SN7GT"))
    chassis = ChassisFactory(model=place.set_model, serial="12")
    tube = TubeFactory(type=None, marked="6SN7GTY")
    told = answers("6SN7GTY", "6SN7GT", tube.tag)
    for text in ("6SN7GTY", tube.tag):
        assert "1 marked 6SN7GTY, type not settled" in told[text]
        assert "With care: type not settled, figures taken from 6SN7GT" in told[text]
        assert f"With care: {chassis} V7 wants 6SN7GT: empty (low-loss base)" in told[text]
    assert "With care: 1 good 6SN7GTY (low-loss base; type not settled, figures taken from 6SN7GT)" in told["6SN7GT"]
