"""A label is scanned: what its code names, whose it is, and photographs of it that are soft, turned, dark or small.

The codes are made by segno and read by ZXing, which share nothing. ISO/IEC 18004: four modules of quiet zone.
"""

import io
import json

import pytest
import segno
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import call_command
from PIL import Image, ImageFilter

from inventory.holdings.actions.photo_codes import codes_in
from inventory.holdings.queries.label_codes import label_code
from tests.factories import PlaceFactory, TubeFactory

SCAN = "/scan/"
ELSEWHERE = "http://radio.example/tubes/T-0001/"


def label(text, scale=8):
    """The code of a label, as a picture."""
    out = io.BytesIO()
    segno.make_qr(text, error="m", boost_error=False).save(out, kind="png", scale=scale, border=4)
    return Image.open(out).convert("L")


def on_a_shelf(code, size=(1600, 1200), at=(500, 300)):
    """A photograph in which the label is one thing among others."""
    shelf = Image.linear_gradient("L").resize(size).point(lambda value: 90 + value // 3)
    shelf.paste(code, at)
    return shelf


def sent(image, kind="JPEG", name="label.jpg", **how):
    out = io.BytesIO()
    image.save(out, kind, **how)
    return SimpleUploadedFile(name, out.getvalue())


SOFT = {
    "as printed": lambda code: code,
    "soft": lambda code: on_a_shelf(code.filter(ImageFilter.GaussianBlur(4))),
    "turned by 33 degrees": lambda code: on_a_shelf(code.rotate(33, expand=True, fillcolor=255)),
    "soft, turned, and lit from one side": lambda code: on_a_shelf(
        code.rotate(200, expand=True, fillcolor=255).filter(ImageFilter.GaussianBlur(3)).point(lambda v: 40 + v // 3)
    ),
    "out of focus, filling the frame": lambda code: code.resize((2000, 2000)).filter(ImageFilter.GaussianBlur(14)),
    "small in the picture": lambda code: on_a_shelf(code.resize((150, 150)), size=(3000, 2200), at=(1400, 900)),
    "white on black": lambda code: code.point(lambda value: 255 - value),
}


@pytest.mark.parametrize("how", SOFT)
def test_a_photograph_is_read(how):
    text = "http://museum.example:8000/tubes/T-0042/"
    file = sent(SOFT[how](label(text)), quality=70)
    assert codes_in(file, file.name) == [text]


def test_a_code_on_nothing_and_one_that_a_camera_turned():
    code = label("T-0042")
    clear = Image.new("RGBA", code.size, (0, 0, 0, 0))
    clear.paste((0, 0, 0, 255), mask=code.point(lambda value: 255 - value))
    assert codes_in(sent(clear, "PNG"), "clear.png") == ["T-0042"]
    turned = Image.Exif()
    turned[0x0112] = 6  # Exif 2.32, Orientation: turned a quarter
    assert codes_in(sent(on_a_shelf(code), exif=turned), "turned.jpg") == ["T-0042"]


# --- whose label it is -----------------------------------------------------------------------------------------------


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("text", "ours", "tag"),
    [
        ("http://set.example:8000/tubes/T-0001/", True, "T-0001"),
        ("HTTP://SET.EXAMPLE/tubes/t-0001", True, "T-0001"),
        ("http://localhost:8000/tubes/T-0001/", False, "T-0001"),  # of whatever machine it was printed on
        ("https://set.example/below/tubes/T-0001/", True, "T-0001"),
        (ELSEWHERE, False, "T-0001"),
        ("t-0001", False, "T-0001"),  # of which house is not said
        ("http://set.example/tubes/T-0009/", True, "T-0009"),
        ("http://set.example/tubes/T-0001/move/", True, ""),
        ("http://set.example/tubes/T%00-1/", True, ""),
        ("http://[bad/tubes/T-0001/", False, ""),
        ("4006381333931", False, ""),
        ("\x00", False, ""),
    ],
)
def test_whose_label_it_is(text, ours, tag):
    tube = TubeFactory(item__tag="T-0001")
    code = label_code(text, ["set.example:8000"])
    assert (code.ours, code.tag) == (ours, tag)
    assert code.item == (tube.item if tag == "T-0001" else None)
    assert code.opens == (ours and tag == "T-0001")


@pytest.mark.django_db
def test_a_label_of_this_machine_is_ours_where_one_stands_before_it():
    TubeFactory(item__tag="T-0001")
    assert label_code("http://localhost:8000/tubes/T-0001/", ["127.0.0.1:8000"]).opens


@pytest.mark.django_db
def test_a_label_of_a_place():
    place = PlaceFactory(code="D7")
    assert label_code(f"http://localhost/places/{place.pk}/").name == "the place D7"
    assert not label_code("http://localhost/places/99999999/").address


# --- the page and the command ----------------------------------------------------------------------------------------


def test_a_label_of_this_house_opens_its_thing(as_visitor):
    tube = TubeFactory()
    address = f"http://testserver{tube.get_absolute_url()}"
    answer = as_visitor.post(SCAN, {"photo": sent(on_a_shelf(label(address)))})
    assert (answer.status_code, answer.url) == (302, tube.get_absolute_url())
    assert as_visitor.get(SCAN, {"code": address}).url == tube.get_absolute_url()


def test_what_is_not_ours_is_told_and_never_opened(as_visitor):
    TubeFactory(item__tag="T-0001")
    page = as_visitor.get(SCAN, {"code": ELSEWHERE})
    text = page.content.decode()
    assert page.status_code == 200 and ELSEWHERE in text
    assert "not known as an address of this house" in text and 'href="/tubes/T-0001/"' in text
    text = as_visitor.get(SCAN, {"code": "<b>4006381333931"}).content.decode()
    assert "No label of this house" in text and "&lt;b&gt;4006381333931" in text


def test_two_labels_in_one_picture_are_told_both(as_visitor):
    shelf = on_a_shelf(label(f"http://testserver{TubeFactory().get_absolute_url()}"), at=(100, 100))
    shelf.paste(label(ELSEWHERE), (900, 500))
    assert as_visitor.post(SCAN, {"chosen": sent(shelf)}).status_code == 302  # so that the way back sends nothing again
    page = as_visitor.post(SCAN, {"photo": sent(shelf)}, follow=True)
    assert page.status_code == 200 and [code.ours for code in page.context["codes"]].count(True) == 1
    assert len(page.context["codes"]) == 2


def test_what_is_not_read_says_how_to_hold_the_phone(as_visitor):
    page = as_visitor.post(SCAN, {"photo": sent(Image.new("L", (400, 300), 128))}, follow=True)
    assert page.status_code == 200 and "No code was read" in page.content.decode()
    assert "Hold the phone" in page.content.decode()


@pytest.mark.parametrize("body", [b"", b"no picture", b"%PDF-1.4", b"\xff\xd8\xff\xe0 torn"])
def test_what_is_no_picture_is_refused_in_words(as_visitor, body):
    page = as_visitor.post(SCAN, {"photo": SimpleUploadedFile("label.jpg", body)})
    assert page.status_code == 422 and page.context["form"].errors["photo"]


def test_a_picture_that_is_too_large(as_visitor, settings):
    settings.PAPER_MAX_MEGAPIXELS = 0.1
    page = as_visitor.post(SCAN, {"photo": sent(Image.new("L", (400, 300), 128))})
    assert page.status_code == 422 and "million pixels" in page.context["form"].errors["photo"][0]


@pytest.mark.django_db
def test_the_command(tmp_path, capsys):
    tube = TubeFactory(item__tag="T-0001")
    on_a_shelf(label("https://set.example/tubes/T-0001/")).save(tmp_path / "label.png")
    call_command("read_label", str(tmp_path / "label.png"), "--site", "https://set.example", "--json")
    (code,) = json.loads(capsys.readouterr().out)["codes"]
    assert (code["ours"], code["tag"], code["page"]) == (True, "T-0001", tube.get_absolute_url())
    call_command("read_label", str(tmp_path / "label.png"))
    assert "not known as an address of this house" in capsys.readouterr().out
