"""The world of the tests of start sheets: an invented receiver, results typed in, the text of a PDF."""

import shutil
import subprocess

import pytest

from inventory.restoration.forms.findings import field_key
from inventory.restoration.queries.start_sheet import start_sheet
from tests.factories import ChassisFactory, PositionFactory, SetModelFactory, TubeTypeFactory
from tests.restoration.rows import PlanFactory

needs_pdftotext = pytest.mark.skipif(not shutil.which("pdftotext"), reason="pdftotext (poppler-utils) is not here")


def planned_receiver():
    """A plan for a receiver with a 6K7 and an 80."""
    model = SetModelFactory(name="Marram RX", neutralizing="none", kind="receiver", caution="About 300 V inside.")
    for mark, kind, volts in (("V1", "6K7", 6.3), ("V2", "80", 5.0)):
        PositionFactory(set_model=model, mark=mark, type=TubeTypeFactory(name=kind), heater_v=volts)
    return PlanFactory(name="Marram in the shed", sets=[ChassisFactory(model=model, serial="0417")])


def address_of(plan):
    return f"{plan.get_absolute_url()}start/{plan.sets.get().tag}/"


def checks_of(plan, today):
    return {row.check.key: row for row in start_sheet(plan, plan.sets.get(), today).rows}


def typed(client, plan, today, **cells):
    """Results typed into the page; ``cells``: (reading, judged, words) by check, with _ for a blank."""
    sent = {"on": today, "at": "", "by_whom": "E. Dunmore"}
    for check, (reading, judged, words) in cells.items():
        key = field_key(check.replace("__", " ").replace("_", "-"))
        sent |= {f"{key}-reading_text": reading, f"{key}-all_well": judged, f"{key}-result": words}
    return client.post(f"{address_of(plan)}found/", sent, follow=True)


def pdf_pages(body, tmp_path):
    """The text of each page."""
    file = tmp_path / "sheet.pdf"
    file.write_bytes(body)
    told = subprocess.run(["pdftotext", "-raw", file, "-"], capture_output=True, check=True).stdout.decode()
    return [" ".join(page.split()) for page in told.split("\f")[:-1]]


def pdf_text(body, tmp_path):
    pages = pdf_pages(body, tmp_path)
    return len(pages), " ".join(pages)
