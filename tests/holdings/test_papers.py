"""Photographs and papers: judged by content, stripped of what they tell, kept once, handed out to who may look.

Tags of the metadata written into the test pictures are those of Exif 2.32 (GPS IFD 0x8825, orientation 0x0112,
DateTimeOriginal 0x9003), named as Pillow's ``ExifTags`` names them.
"""

import io
import struct
import sys
import zlib

import pytest
from django.core.files.storage import default_storage
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from PIL import Image, ImageCms, PngImagePlugin
from PIL.ExifTags import GPS, IFD, Base

from inventory.holdings.actions.papers import add_papers, reads_heic, remove_paper, take_in
from inventory.holdings.forms.papers import PaperForm
from inventory.holdings.models import Paper
from tests.counting import asked
from tests.factories import ChassisFactory, CompanionFactory, PlugInUnitFactory, TubeFactory
from tests.pages import seen_at

SRGB = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
SECRET = "Nineteen Harbour Row"


@pytest.fixture(autouse=True)
def store(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path / "media"
    return settings.MEDIA_ROOT


def files_in(store):
    return sorted(file for file in store.rglob("*") if file.is_file())


def picture(size=(40, 24), colour=(200, 30, 30), mode="RGB"):
    """A picture that is blue on its left half."""
    image = Image.new(mode, size, colour)
    image.paste((20, 20, 220, 255)[: len(image.getbands())] if mode != "L" else 10, (0, 0, size[0] // 2, size[1]))
    return image


def loaded_exif(orientation=1):
    exif = Image.Exif()
    exif[Base.Orientation] = orientation
    exif[Base.ImageDescription] = SECRET
    exif[Base.Make] = SECRET
    exif.get_ifd(IFD.Exif)[Base.DateTimeOriginal] = "2021:05:04 10:11:12"
    place = exif.get_ifd(IFD.GPSInfo)
    place[GPS.GPSLatitudeRef], place[GPS.GPSLatitude] = "N", (48.0, 12.0, 30.0)
    place[GPS.GPSLongitudeRef], place[GPS.GPSLongitude] = "E", (16.0, 22.0, 15.0)
    return exif


def as_bytes(image, kind, **more):
    out = io.BytesIO()
    image.save(out, kind, **more)
    return out.getvalue()


def telling(kind, orientation=1):
    """A picture that tells its position, its description, a comment and a colour profile in every way it can."""
    more = {"exif": loaded_exif(orientation), "icc_profile": SRGB}
    if kind == "JPEG":
        more |= {"comment": SECRET.encode(), "xmp": f"<x>{SECRET}</x>".encode()}
    if kind == "WEBP":
        more |= {"xmp": f"<x>{SECRET}</x>".encode(), "lossless": True}
    if kind == "PNG":
        words = PngImagePlugin.PngInfo()
        words.add_text("Comment", SECRET)
        words.add_itxt("XML:com.adobe.xmp", f"<x>{SECRET}</x>")
        more["pnginfo"] = words
    return as_bytes(picture(), kind, **more) + SECRET.encode()  # and something glued to the end


def upload(body, name="Harbour Row attic.jpg", kind="image/jpeg"):
    return SimpleUploadedFile(name, body, kind)


PDF = b"%PDF-1.4\n1 0 obj<</Type/Catalog>>endobj\ntrailer<</Root 1 0 R>>\n%%EOF\n"


# --- what is taken in -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_nothing_of_what_a_picture_tells_is_kept(kind):
    body = telling(kind)
    with Image.open(io.BytesIO(body)) as before:
        assert before.getexif().get_ifd(IFD.GPSInfo) and SECRET.encode() in body
    intake = take_in(io.BytesIO(body), "x")
    for kept in (intake.body, intake.thumbnail):
        assert SECRET.encode() not in kept and b"Exif" not in kept and b"eXIf" not in kept
        with Image.open(io.BytesIO(kept)) as image:
            image.load()
            assert dict(image.getexif()) == {}
            assert not set(image.info) - {"jfif", "jfif_version", "jfif_unit", "jfif_density", "loop", "background",
                                          "timestamp", "duration"}  # fmt: skip
    assert str(intake.taken) == "2021-05-04"


# Exif 2.32, orientation: where row 0 and column 0 are; 6: the right side is up, so it must be turned clockwise.
@pytest.mark.parametrize(
    ("orientation", "size", "blue"),
    [
        (1, (40, 24), "left"),
        (2, (40, 24), "right"),
        (3, (40, 24), "right"),
        (6, (24, 40), "top"),
        (8, (24, 40), "bottom"),
    ],
)
def test_a_picture_is_turned_upright(orientation, size, blue):
    intake = take_in(io.BytesIO(telling("JPEG", orientation)), "x")
    with Image.open(io.BytesIO(intake.body)) as image:
        assert image.size == size
        w, h = size
        spot = {"left": (2, h // 2), "right": (w - 3, h // 2), "top": (w // 2, 2), "bottom": (w // 2, h - 3)}[blue]
        red, _green, blueness = image.convert("RGB").getpixel(spot)
        assert blueness > 180 > red


@pytest.mark.parametrize(
    ("mode", "kind", "kept"),
    [
        ("L", "PNG", "L"), ("RGBA", "PNG", "RGBA"), ("LA", "PNG", "RGBA"), ("P", "PNG", "RGB"), ("1", "PNG", "L"),
        ("I;16", "PNG", "L"), ("CMYK", "JPEG", "RGB"), ("L", "JPEG", "L"), ("RGBA", "WEBP", "RGBA"),
    ],
)  # fmt: skip
def test_every_mode_of_pixels(mode, kind, kept):
    image = Image.new("I;16", (9, 9), 40000) if mode == "I;16" else picture(mode="RGB").convert(mode)
    if "A" in mode:
        image.putalpha(90)
    intake = take_in(io.BytesIO(as_bytes(image, kind)), "x")
    with Image.open(io.BytesIO(intake.body)) as out:
        assert (out.mode, out.size) == (kept, image.size)
        if mode == "I;16":
            assert abs(out.getpixel((4, 4)) - 40000 / 256) <= 1
    with Image.open(io.BytesIO(intake.thumbnail)) as small:
        assert small.format == "JPEG"


def test_two_jpegs_in_one_file_are_one_photograph():
    """Many phones write the picture and a smaller or deeper one into one file (CIPA DC-007, multi-picture format)."""
    body = as_bytes(picture(), "MPO", save_all=True, append_images=[picture(colour=(1, 1, 1))])
    intake = take_in(io.BytesIO(body), "x")
    with Image.open(io.BytesIO(intake.body)) as image:
        assert (image.format, getattr(image, "n_frames", 1), image.size) == ("JPEG", 1, (40, 24))


def test_a_large_picture_has_a_small_thumbnail():
    intake = take_in(io.BytesIO(as_bytes(picture((3000, 2000)), "JPEG")), "x")
    with Image.open(io.BytesIO(intake.thumbnail)) as small:
        assert small.size == (360, 240)


def huge_png(width, height):
    """A small file that unpacks to a large picture: all rows zero (PNG specification, second edition, clause 11.2)."""

    def chunk(kind, data):
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    packed = zlib.compress(bytes(20_000_000), 9)
    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", packed) + chunk(b"IEND", b"")


JPEG = as_bytes(picture((400, 300)), "JPEG")


@pytest.mark.parametrize(
    ("body", "words"),
    [
        (b"tag,type\nT-0001,807\n", "is no JPEG, PNG or WebP picture"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>", "is no JPEG"),
        (b"<html>%PDF-</html>", "is no JPEG"),
        (b"GIF89a" + bytes(40), "is no JPEG"),
        (as_bytes(picture(), "GIF"), "is no JPEG"),
        (as_bytes(picture(), "TIFF"), "is no JPEG"),
        (JPEG[: len(JPEG) // 2], "is no JPEG"),
        (b"\xff\xd8\xff\xe0" + bytes(200), "is no JPEG"),
        (b"x", "is no JPEG"),
        (b"%PDF-1.7\nhalf a", "its end is missing"),
        (huge_png(60_000, 60_000), "million pixels"),
        (huge_png(9_000, 9_000), "million pixels"),
    ],
    ids=["text", "svg", "html", "gif-like", "gif", "tiff", "half", "head", "letter", "half-pdf", "bomb", "too-large"],
)
def test_what_is_refused_by_its_content(body, words, refused):
    with refused("uploads", words):
        take_in(io.BytesIO(body), "photo.jpg")
    with refused("uploads", "photo.jpg"):
        take_in(io.BytesIO(body), "photo.jpg")


# --- pictures of phones in HEIC (ISO/IEC 23008-12) --------------------------------------------------------------------


def heic(size=(40, 24), orientation=1):
    """A HEIC that tells its position, written by libheif's own encoder."""
    writer = pytest.importorskip("pillow_heif", reason="pillow-heif is not installed (pip install .[test])")
    writer.register_heif_opener()
    image = picture(size)
    image.info["exif"] = loaded_exif(orientation).tobytes()  # its orientation becomes the box that counts, ``irot``
    body = as_bytes(image, "HEIF", xmp=f"<x>{SECRET}</x>".encode(), quality=90)
    assert reads_heic()
    return body


def test_a_heic_becomes_a_jpeg_that_tells_nothing():
    body = heic()
    assert SECRET.encode() in body
    intake = take_in(io.BytesIO(body), "IMG_0001.HEIC")
    assert (intake.suffix, str(intake.taken)) == (".jpg", "2021-05-04")
    for kept in (intake.body, intake.thumbnail):
        assert SECRET.encode() not in kept and b"Exif" not in kept
        with Image.open(io.BytesIO(kept)) as image:
            assert image.format == "JPEG" and image.size == (40, 24) and dict(image.getexif()) == {}
            left, right = image.getpixel((5, 12)), image.getpixel((34, 12))
            assert left[2] > 150 > left[0] and right[0] > 150 > right[2]


def test_a_heic_is_turned_upright():
    body = heic(orientation=6)
    assert b"irot" in body  # 23008-12, 6.5.10: the picture is turned by this box, whatever its Exif says
    with Image.open(io.BytesIO(take_in(io.BytesIO(body), "x").body)) as image:
        assert image.size == (24, 40)


def test_a_heic_with_too_many_pixels_is_not_decoded(settings, refused):
    settings.PAPER_MAX_MEGAPIXELS = 1
    with refused("uploads", "million pixels"):
        take_in(io.BytesIO(heic((1200, 900))), "x.heic")


@pytest.mark.parametrize("cut", [20, 60, 400, -200])
def test_half_a_heic(cut, refused):
    with refused("uploads", "x.heic begins as a HEIC picture but cannot be read"):
        take_in(io.BytesIO(heic((200, 100))[:cut]), "x.heic")


@pytest.mark.parametrize("brand", [b"heic", b"mif1", b"msf1"])
def test_a_heic_where_nothing_reads_it(brand, monkeypatch, refused):
    monkeypatch.setitem(sys.modules, "pi_heif", None)
    body = b"\x00\x00\x00\x18ftyp" + brand + bytes(4) + b"mif1heic" + bytes(50)
    with refused("uploads", "x.heic is a HEIC picture, as phones take them, and nothing here can read that"):
        take_in(io.BytesIO(body), "x.heic")
    assert "image/heic" not in PaperForm().fields["uploads"].widget.attrs["accept"]
    with refused("uploads", "is no JPEG"):  # another film in a box of the same kind
        take_in(io.BytesIO(b"\x00\x00\x00\x18ftypisom" + bytes(4) + b"isommp42" + bytes(50)), "x.mp4")


def test_too_many_bytes(settings, refused):
    settings.PAPER_MAX_MB = 1
    with refused("uploads", "larger than 1 MB"):
        take_in(io.BytesIO(PDF + bytes(1024 * 1024)), "x.pdf")


# --- what is kept -----------------------------------------------------------------------------------------------------


@pytest.fixture
def item(db):
    return TubeFactory(item__tag="T-0007").item


def test_the_store_says_nothing_of_the_keepers_names(item, helper, store):
    (paper,) = add_papers(item, [upload(JPEG)], by=helper, kind="photograph", caption=" plate ")
    assert (paper.caption, paper.kind, paper.by) == ("plate", "photograph", helper)
    kept = files_in(store)
    assert len(kept) == 2
    assert not any(word in str(file).lower() for file in kept for word in ("harbour", "attic", "t-0007"))
    assert all(file.stat().st_mode & 0o077 == 0 for file in kept)
    assert default_storage.exists(paper.file.name) and default_storage.exists(paper.thumbnail.name)
    assert paper.history.get().history_user == helper


def test_the_date_is_the_cameras_unless_the_keeper_says_another(item, helper, days_ago):
    (first,) = add_papers(item, [upload(telling("PNG"))], by=helper, kind="photograph")
    assert str(first.dated) == "2021-05-04"
    (second,) = add_papers(item, [upload(JPEG)], by=helper, kind="photograph", dated=days_ago(3))
    assert second.dated == days_ago(3)


def test_the_same_picture_twice_on_one_thing(item, helper, refused, store):
    add_papers(item, [upload(telling("JPEG"))], by=helper, kind="photograph")
    bare = as_bytes(picture(), "JPEG", icc_profile=SRGB)  # the same pixels, with nothing told
    before = files_in(store)
    for body in (telling("JPEG"), bare):
        with refused("uploads", "hangs on T-0007 already"):
            add_papers(item, [upload(body, "again.jpg")], by=helper, kind="photograph")
    assert files_in(store) == before and Paper.objects.count() == 1
    add_papers(TubeFactory().item, [upload(telling("JPEG"))], by=helper, kind="photograph")  # another thing may have it


def test_of_several_all_or_none(item, helper, refused, store):
    for bad in (b"text", JPEG):  # one that is no picture; one that comes twice, found only when the first is stored
        with refused("uploads"):
            add_papers(item, [upload(JPEG), upload(bad, "bad.jpg")], by=helper, kind="photograph")
    assert files_in(store) == [] and not Paper.objects.exists() and not Paper.history.exists()


def test_removed_but_not_forgotten(item, keeper, store, django_capture_on_commit_callbacks):
    (paper,) = add_papers(item, [upload(JPEG)], by=keeper, kind="photograph", caption="plate")
    key = paper.pk
    with django_capture_on_commit_callbacks(execute=True):
        remove_paper(paper, by=keeper, reason="shows a neighbour")
    assert files_in(store) == [] and not Paper.objects.exists()
    last = Paper.history.filter(id=key).first()
    assert (last.history_type, last.history_user, last.history_change_reason) == ("-", keeper, "shows a neighbour")
    assert last.caption == "plate"


# --- the pages --------------------------------------------------------------------------------------------------------


def test_from_the_phone_to_the_page(as_helper, item):
    add = reverse("holdings:paper-add", args=["T-0007"])
    form = as_helper.get(add).content.decode()
    assert 'enctype="multipart/form-data"' in form and 'capture="environment"' in form and 'accept="image/*"' in form
    more = [upload(telling("PNG"), "a.png"), upload(PDF, "b.pdf", "application/pdf")]
    answer = as_helper.post(add, {"shot": upload(JPEG), "uploads": more, "kind": "photograph", "caption": "plate"})
    assert answer.status_code == 302, answer.context["form"].errors
    assert sorted(Paper.objects.values_list("kind", flat=True)) == ["paper", "photograph", "photograph"]
    page = as_helper.get("/tubes/T-0007/").content.decode()
    for paper in Paper.objects.exclude(thumbnail=""):
        assert reverse("holdings:paper-small", args=[paper.pk]) in page
    assert "/media/" not in page


@pytest.mark.parametrize("make", [ChassisFactory, PlugInUnitFactory, CompanionFactory])
def test_thumbnails_on_every_kind_of_thing(as_visitor, helper, make):

    thing = make()
    (paper,) = add_papers(thing.item, [upload(JPEG)], by=helper, kind="photograph")
    assert reverse("holdings:paper-small", args=[paper.pk]) in as_visitor.get(thing.get_absolute_url()).content.decode()


@pytest.mark.parametrize(
    ("files", "text"),
    [
        ({}, "Take a photograph or choose at least one file"),
        ({"uploads": [upload(b"tag,type")]}, "is no JPEG"),
        ({"uploads": [upload(JPEG) for _ in range(11)]}, "11 files; add at most 10"),
        ({"uploads": [upload(b"")]}, "empty"),
    ],
)
def test_a_refusal_stands_in_the_form(as_helper, item, files, text):
    for file in files.get("uploads", []):
        file.seek(0)
    answer = as_helper.post(reverse("holdings:paper-add", args=["T-0007"]), files | {"kind": "photograph"})
    assert answer.status_code == 422
    assert text in str(answer.context["form"].errors)


def test_an_image_is_shown_and_a_pdf_only_saved(as_visitor, item, helper):
    image, paper = add_papers(item, [upload(JPEG), upload(PDF, "x.pdf")], by=helper, kind="photograph")
    for name, row, kind, how in (
        ("paper-file", image, "image/jpeg", f'inline; filename="T-0007-{image.pk}.jpg"'),
        ("paper-small", image, "image/jpeg", f'inline; filename="T-0007-{image.pk}-small.jpg"'),
        ("paper-file", paper, "application/pdf", f'attachment; filename="T-0007-{paper.pk}.pdf"'),
    ):
        answer = as_visitor.get(reverse(f"holdings:{name}", args=[row.pk]))
        assert (answer.status_code, answer["Content-Type"], answer["Content-Disposition"]) == (200, kind, how)
        assert answer["X-Content-Type-Options"] == "nosniff" and "private" in answer["Cache-Control"]
        assert "sandbox" in answer["Content-Security-Policy"]
        assert b"".join(answer.streaming_content)
    assert as_visitor.get(reverse("holdings:paper-small", args=[paper.pk])).status_code == 404


def test_a_file_lost_from_the_store_is_said_so(as_visitor, item, helper):
    (paper,) = add_papers(item, [upload(JPEG)], by=helper, kind="photograph")
    default_storage.delete(paper.file.name)
    assert as_visitor.get(reverse("holdings:paper-file", args=[paper.pk])).status_code == 404


NAMES = {"paper": 1, "paper-file": 1, "paper-small": 1, "paper-add": 2, "paper-change": 3, "paper-remove": 3}


@pytest.mark.parametrize("name", NAMES)
def test_who_may(item, visitor, helper, keeper, name):
    """1: everybody who is logged in; 2: helper and keeper; 3: keeper alone."""
    (paper,) = add_papers(item, [upload(JPEG)], by=helper, kind="photograph")
    address = reverse(f"holdings:{name}", args=["T-0007" if name == "paper-add" else paper.pk])
    assert Client().get(address).status_code == 302
    for rank, person in enumerate((visitor, helper, keeper), start=1):
        client = Client()
        client.force_login(person)
        expected = 200 if rank >= NAMES[name] else 403
        assert client.get(address).status_code == expected, person
        if expected == 403:
            assert client.post(address, {"kind": "paper"}).status_code == 403
    assert Paper.objects.filter(pk=paper.pk, kind="photograph").exists()


def test_no_address_leads_into_the_store(as_keeper, item, helper):
    (paper,) = add_papers(item, [upload(JPEG)], by=helper, kind="photograph")
    for start in ("/media/", "/static/", "/"):
        assert as_keeper.get(start + paper.file.name).status_code == 404


def test_a_keeper_changes_and_removes(as_keeper, item, helper):
    (paper,) = add_papers(item, [upload(JPEG)], by=helper, kind="photograph")
    change, remove = (reverse(f"holdings:paper-{what}", args=[paper.pk]) for what in ("change", "remove"))
    answer = as_keeper.post(change, {"caption": "serial", "kind": "paper"} | seen_at(as_keeper, change))
    assert answer.status_code == 302
    paper.refresh_from_db()
    assert (paper.caption, paper.kind) == ("serial", "paper")
    (scan,) = add_papers(item, [upload(PDF, "x.pdf")], by=helper, kind="paper")
    change = reverse("holdings:paper-change", args=[scan.pk])
    answer = as_keeper.post(change, {"kind": "photograph"} | seen_at(as_keeper, change))
    assert answer.status_code == 422 and "which is a paper" in str(answer.context["form"].errors)
    assert as_keeper.post(remove, {"reason": "blurred"} | seen_at(as_keeper, remove)).status_code == 302
    assert list(Paper.objects.all()) == [scan]


def test_twice_the_papers_take_no_more_questions(as_visitor, item, helper):
    def grow(start):
        shots = [upload(as_bytes(picture(colour=(start + n, 0, 0)), "PNG")) for n in range(5)]
        add_papers(item, shots, by=helper, kind="photograph")

    grow(0)
    before = asked(as_visitor, "/tubes/T-0007/")
    grow(100)
    assert asked(as_visitor, "/tubes/T-0007/") == before
