"""Progress of a plan and its report for the next keeper. Sets and people are invented."""

import io
import shutil
import subprocess
from dataclasses import replace

import pytest
from django.core.exceptions import ValidationError
from django.core.files.base import ContentFile
from PIL import Image

from inventory.holdings.actions.papers import add_papers
from inventory.holdings.models import HazardMark, Paper, PartLot
from inventory.restoration.actions import record_finding, record_work
from inventory.restoration.models import Finding, Plan, Requirement, Work
from inventory.restoration.queries.progress import progress_of
from inventory.restoration.queries.report import report_of
from inventory.sets.actions import fit
from inventory.sets.models import Fitting
from tests.counting import cost
from tests.factories import (
    ChassisFactory,
    FittingFactory,
    ItemFactory,
    PlaceFactory,
    PositionFactory,
    SetModelFactory,
    TubeFactory,
    TubeTypeFactory,
)
from tests.pages import page_text, seen_at
from tests.restoration.rows import PlanFactory
from tests.running.rows import InstrumentFactory, TubeTestFactory

pytestmark = pytest.mark.django_db
needs_poppler = pytest.mark.skipif(not shutil.which("pdftotext"), reason="poppler-utils are not here")


@pytest.fixture
def plan(days_ago):
    model = SetModelFactory(name="Marram RX", neutralizing="none", kind="receiver", caution="About 300 V inside.")
    for mark, kind, volts in (("V1", "6K7", 6.3), ("V2", "80", 5.0)):
        PositionFactory(set_model=model, mark=mark, type=TubeTypeFactory(name=kind), heater_v=volts)
    chassis = ChassisFactory(model=model, serial="0417")
    return PlanFactory(name="Marram in the shed", sets=[chassis], state=Plan.AT_WORK, began=days_ago(30))


def a_tube(plan, mark="V1", **more):
    return TubeFactory(type=plan.sets.get().model.positions.get(mark=mark).type, **more)


def read(tube, reading, on, instrument):
    return TubeTestFactory(tube=tube, reading=reading, reading_text=f"{reading:g}", on=on, instrument=instrument)


def picture(colour="tan", size=(900, 600), kind="JPEG"):
    out = io.BytesIO()
    Image.new("RGBA" if kind == "PNG" else "RGB", size, colour).save(out, kind)
    return ContentFile(out.getvalue(), name=f"{colour}.{kind.lower()}")


def test_a_swapped_tube_is_told_with_its_readings_before_and_after(plan, today, days_ago, keeper):
    chassis, tester = plan.sets.get(), InstrumentFactory(name="Bench tester")
    place = chassis.model.positions.get(mark="V1")
    old, new = a_tube(plan), a_tube(plan, place=PlaceFactory(code="Drawer 4"))
    FittingFactory(tube=old, chassis=chassis, position=place, since=days_ago(400))
    for tube, reading, day in ((old, 900.0, 300), (old, 700.0, 25), (new, 2400.0, 25), (new, 2350.0, 5)):
        read(tube, reading, days_ago(day), tester)
    row = Fitting(tube=new, chassis=chassis, position=place, since=days_ago(20))
    fit(row, today=today, by=keeper, replace=True, in_doubt=True, seen=old.tag)
    (swap,) = progress_of(plan).swaps
    assert (swap.went_out.tube, swap.came_in.tube, swap.on) == (old, new, days_ago(20))
    assert swap.came_from == "Drawer 4"
    assert swap.out_reading == f"700 micromho, Bench tester, {days_ago(25)}"
    assert swap.before == f"2400 micromho, Bench tester, {days_ago(25)}"
    assert swap.after == f"2350 micromho, Bench tester, {days_ago(5)}"


def test_what_was_there_before_the_plan_is_no_swap(plan, days_ago):
    chassis = plan.sets.get()
    v1, v2 = (chassis.model.positions.get(mark=mark) for mark in ("V1", "V2"))
    FittingFactory(tube=a_tube(plan), chassis=chassis, position=v1, since=days_ago(400), until=days_ago(100))
    FittingFactory(tube=a_tube(plan), chassis=chassis, position=v1, since=days_ago(100))
    assert progress_of(plan).swaps == ()
    gone = FittingFactory(
        tube=a_tube(plan, "V2"), chassis=chassis, position=v2, since=days_ago(400), until=days_ago(10)
    )
    (swap,) = progress_of(plan).swaps
    assert (swap.went_out, swap.came_in, swap.on) == (gone, None, days_ago(10))
    plan.ended = days_ago(15)
    assert progress_of(plan).swaps == ()  # taken out since it was finished


def test_a_plan_without_a_day_begins_with_its_first_entry(plan, today, days_ago, as_visitor):
    plan.began = None
    plan.save()
    assert progress_of(plan).since is None
    text = page_text(as_visitor.get(f"{plan.get_absolute_url()}progress/"))
    assert "Nobody said when the plan began" in text and "No work is recorded yet." in text
    Work.objects.create(plan=plan, chassis=plan.sets.get(), words="struck", on=days_ago(50), struck="of another set")
    Work.objects.create(plan=plan, chassis=plan.sets.get(), words="looked over", on=days_ago(8))
    Finding.objects.create(plan=plan, chassis=plan.sets.get(), step="plates", result="noted", on=days_ago(9))
    assert progress_of(plan).since == days_ago(9)


def test_a_work_settles_its_line_and_bears_photographs(plan, today, keeper, as_helper, as_keeper):
    chassis = plan.sets.get()
    line = Requirement.objects.create(plan=plan, kind="work", words="new cord", waiting_for="the cord")
    text = page_text(as_helper.get(f"{plan.get_absolute_url()}progress/"))
    assert "new cord" in text and "for the cord" in text
    (paper,) = add_papers(chassis.item, [picture()], by=keeper, kind=Paper.PHOTOGRAPH, caption="the new cord")
    add_papers(a_tube(plan).item, [picture("red")], by=keeper, kind=Paper.PHOTOGRAPH, caption="of a tube")
    address = f"{plan.get_absolute_url()}work/"
    text = page_text(as_helper.get(address))
    assert "of a tube" not in text and "the line is done with it" not in text  # a helper changes no line
    sent = {
        "chassis": chassis.pk, "words": "cord renewed", "on": today, "requirement": line.pk, "settles": "on",
        "photographs": [paper.pk], "reversible": "yes", "came_from": "R. Oddsworth",
    }  # fmt: skip
    text = page_text(as_keeper.post(address, sent | seen_at(as_keeper, address), follow=True))
    assert "cord renewed" in text and "the new cord" in text
    line.refresh_from_db()
    assert line.done_on == today and Work.objects.get().photographs.get() == paper
    with pytest.raises(ValidationError, match="Say which line"):
        record_work(Work(plan=plan, chassis=chassis, words="x", on=today), today=today, by=keeper, settles=True)


@pytest.fixture
def finished(plan, today, days_ago, keeper):
    """A restoration that is finished, with something of everything."""
    chassis = plan.sets.get()
    chassis.model.positions.update(values_from="Marram handbook, plate 2")
    HazardMark.objects.create(item=chassis.item, hazard="radium", standing="confirmed", reason="dial", on=today)
    lot = PartLot.objects.create(item=ItemFactory(kind="parts"), name="capacitor", least=3, most=3)
    Requirement.objects.create(plan=plan, kind="document", words="circuit drawing", done_on=days_ago(21))
    work = Work(
        plan=plan, chassis=chassis, words="filter renewed", on=days_ago(20), put_in=lot.item, used=2,
        came_from="the box of spares", taken_out="both cans, kept", before="0.2 Mohm", after="over 500 Mohm",
        reversible="yes", by_whom="E. Dunmore",
    )  # fmt: skip
    record_work(work, today=today, by=keeper)
    Work.objects.create(plan=plan, chassis=chassis, words="never done", on=days_ago(19), struck="of another set")
    for reading, well, day in (("190 V", False, 12), ("252 V", True, 10)):
        found = Finding(plan=plan, chassis=chassis, step="b-plus", asked="B+ at the filter output", unit="V",
                        reading_text=reading, all_well=well, on=days_ago(day))  # fmt: skip
        record_finding(found, today=today, by=keeper)
    for colour, caption, dated in (("tan", "as it came", 40), ("grey", "from below", 20), ("navy", "ready", 2)):
        add_papers(chassis.item, [picture(colour)], by=keeper, kind=Paper.PHOTOGRAPH, caption=caption,
                   dated=days_ago(dated))  # fmt: skip
    add_papers(chassis.item, [picture("white", kind="PNG")], by=keeper, kind=Paper.PAPER, caption="a letter")
    plan.state, plan.ended, plan.state_found = Plan.FINISHED, days_ago(5), "Damp.\nA nest in it."
    plan.left_doubtful = "It hums when cold."
    plan.save()
    return plan


SAID = (
    "About 300 V inside.", "radium", "A nest in it.", "filter renewed", "the box of spares", "both cans, kept",
    "0.2 Mohm", "over 500 Mohm", "can be undone", "252 V", "190 V", "It hums when cold.", "As it was found",
    "During the work", "Since it was finished", "from below", "a letter", "Marram handbook, plate 2",
    "common practice, no source", "circuit drawing", "Not checked, or not written down",
)  # fmt: skip


def test_the_report_says_it_all(finished, as_visitor):
    text = page_text(as_visitor.get(f"{finished.get_absolute_url()}report/"))
    assert [words for words in SAID if words not in text] == []
    assert "never done" not in text and text.index("radium") < text.index("filter renewed")


def test_photographs_stand_by_when_they_were_taken(finished, today):
    (one,) = report_of(finished, today).sets
    told = {title: [paper.caption for paper in papers] for title, papers in one.photographs.items()}
    assert told == {
        "As it was found": ["as it came"],
        "During the work": ["from below"],
        "Since it was finished": ["ready"],
    }
    assert one.reversible == "1 can be undone" and one.pictured == 3
    unsaid = replace(one, works=(*one.works, Work(), Work()))
    assert unsaid.reversible == "1 can be undone, whether it can be undone is not said of 2"


@pytest.mark.parametrize(
    ("stage", "of_work", "dated", "title"),
    [
        ("", False, 0, "On the one day of the work"),
        ("before", False, 0, "As it was found"),
        ("during", False, 0, "During the work"),
        ("after", False, 0, "Since it was finished"),
        ("", True, 0, "During the work"),
        ("after", True, 0, "Since it was finished"),
        ("after", False, 1, "As it was found"),  # after some work before this plan
        ("before", False, -1, "Since it was finished"),  # before some work after it
        ("before", False, None, "As it was found"),
        ("", False, None, "Without a date"),
    ],
)
def test_photographs_of_a_plan_of_one_day(plan, keeper, today, days_ago, stage, of_work, dated, title):
    chassis, day = plan.sets.get(), days_ago(5)
    plan.began = plan.ended = day
    plan.state = Plan.FINISHED
    plan.save()
    when = None if dated is None else days_ago(5 + dated)
    (paper,) = add_papers(chassis.item, [picture()], by=keeper, kind=Paper.PHOTOGRAPH, dated=when, stage=stage)
    if of_work:
        work = Work.objects.create(plan=plan, chassis=chassis, words="filter renewed", on=day)
        work.photographs.set([paper])
    (one,) = report_of(plan, today).sets
    assert one.photographs == {title: (paper,)}


def pdf(client, plan, tmp_path, paper="A4"):
    answer = client.get(f"{plan.get_absolute_url()}report/paper/", {"paper": paper})
    assert answer["Content-Type"] == "application/pdf"
    file = tmp_path / "report.pdf"
    file.write_bytes(answer.content)
    text = subprocess.run(["pdftotext", "-raw", file, "-"], capture_output=True, check=True).stdout.decode()
    images = subprocess.run(["pdfimages", "-list", file], capture_output=True, check=True).stdout.decode()
    return text.count("\f"), " ".join(text.split()), images.splitlines()[2:]


@needs_poppler
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_report_on_paper_bears_the_photographs(finished, as_visitor, tmp_path, paper):
    _pages, text, images = pdf(as_visitor, finished, tmp_path, paper)
    assert [words for words in SAID if words not in text] == []
    assert len(images) == 3 and "There is no photograph" not in text


@needs_poppler
def test_no_photograph_is_said_and_one_that_is_lost_too(plan, as_visitor, tmp_path, keeper):
    assert "There is no photograph of this set." in page_text(as_visitor.get(f"{plan.get_absolute_url()}report/"))
    assert "There is no photograph of this set." in pdf(as_visitor, plan, tmp_path)[1]
    (paper,) = add_papers(plan.sets.get().item, [picture()], by=keeper, kind=Paper.PHOTOGRAPH, caption="the front")
    paper.file.storage.delete(paper.file.name)
    _pages, text, images = pdf(as_visitor, plan, tmp_path)
    assert "This picture is not in the store." in text and "the front" in text and not images


@needs_poppler
def test_many_photographs_are_named_beyond_those_that_are_shown(plan, as_visitor, tmp_path, keeper, monkeypatch):
    monkeypatch.setattr("inventory.restoration.views.report_pdf.MOST_PICTURES", 2)
    for words, colour in (("front", "red"), ("back", "green"), ("inside", "blue")):
        add_papers(plan.sets.get().item, [picture(colour)], by=keeper, kind=Paper.PHOTOGRAPH, caption=words)
    _pages, text, images = pdf(as_visitor, plan, tmp_path)
    assert len(images) == 2 and "1 more, in the register: " in text
    assert all(words in text for words in ("front", "back", "inside"))


LONG = [f"word{number}" for number in range(1500)]


@needs_poppler
def test_long_words_and_many_pictures_break_over_pages(plan, as_visitor, tmp_path, keeper):
    plan.state_found = "\n".join(f"Line {number} <of> a long & winding tale. " * 12 for number in range(60))
    plan.left_doubtful = "y" * 4000
    plan.save()
    chassis = plan.sets.get()
    Work.objects.create(plan=plan, chassis=chassis, words="w" * 200, note=" ".join(LONG), on=plan.began)
    shots = [picture("tan", (60 + number, 900)) for number in range(9)]
    add_papers(chassis.item, shots, by=keeper, kind=Paper.PHOTOGRAPH)
    pages, text, images = pdf(as_visitor, plan, tmp_path)
    assert pages > 8 and len(images) == 9
    assert all(f"Line {number} <of> a long & winding tale." in text for number in range(60))
    assert set(LONG) <= set(text.split()) and text.count("y") >= 4000


def test_more_of_everything_takes_no_more_questions(plan, today, days_ago):
    chassis = plan.sets.get()

    def grow(start):
        for number in range(start, start + 10):
            place = PositionFactory(set_model=chassis.model, mark=f"V{number}", type=TubeTypeFactory(name="6K7"))
            tube = a_tube(plan)
            FittingFactory(chassis=chassis, position=place, tube=tube, since=days_ago(5))
            TubeTestFactory(tube=tube, on=days_ago(6))
            work = Work.objects.create(
                plan=plan, chassis=chassis, words=f"work {number}", on=today, put_in=a_tube(plan).item
            )
            work.photographs.add(Paper.objects.create(item=chassis.item, kind="photograph", digest=f"{number:064}"))

    def told():
        (one,) = report_of(plan, today).sets
        return [(work.put_in.words, list(work.photographs.all())) for work in one.works] + list(one.swaps)

    grow(10)
    before = cost(told)
    grow(30)
    assert cost(told) == before


@needs_poppler
def test_each_set_of_a_plan_has_its_sheet_and_its_part_of_the_report(plan, as_visitor, today, tmp_path):
    first = plan.sets.get()
    other = ChassisFactory(model=first.model, serial="0599")
    plan.aim = Plan.KEEP
    plan.save()
    plan.sets.add(other)
    Work.objects.create(plan=plan, chassis=other, words="of the other one", on=today)
    text = page_text(as_visitor.get(plan.get_absolute_url()))
    assert all(f"{plan.get_absolute_url()}start/{one.tag}/" in text for one in (first, other))
    ours, theirs = sorted(report_of(plan, today).sets, key=lambda one: one.chassis != first)
    assert (ours.works, [work.words for work in theirs.works]) == ((), ["of the other one"])
    pages, text, _images = pdf(as_visitor, plan, tmp_path)
    assert pages >= 2 and text.count("Report: Marram RX") == 2


def test_a_photograph_added_from_the_progress_page_leads_back_there(plan, as_keeper):
    chassis, progress = plan.sets.get(), f"{plan.get_absolute_url()}progress/"
    address = f"/things/{chassis.tag}/papers/add/?next={progress}"
    assert address.replace("/restorations", "/restorations") in page_text(as_keeper.get(progress))
    sent = {"uploads": picture(), "kind": Paper.PHOTOGRAPH, "caption": "as found"}
    assert as_keeper.post(address, sent).url == progress
