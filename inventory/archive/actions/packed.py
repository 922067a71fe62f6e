"""Packed files: written whole or not at all, and opened only after their directory and digests are found good."""

import hashlib
import json
import os
import stat
import struct
import tempfile
import time
import zipfile
import zlib
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

from inventory.archive.rules.members import MemberFacts, member_faults

PIECE = 1 << 20
MANIFEST = "manifest.json"
LONGEST_MANIFEST = 200_000_000  # bytes
LEFT_BEHIND = 6 * 3600  # seconds after which an unfinished file is nobody's
STILL = (1980, 1, 1, 0, 0, 0)  # the date of every member: the same content gives the same members
DAMAGE = (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError)
Date = tuple[int, int, int, int, int, int]


@contextmanager
def written_whole(path: Path) -> Iterator[Path]:
    """A new file beside ``path`` that takes its name when the block has ended well. Raises ValueError."""
    folder = path.resolve().parent
    if not folder.is_dir():
        raise ValueError(f"{folder} is no folder; make it first, or name another file")
    if path.is_dir():
        raise ValueError(f"{path} is a folder; name a file")
    _sweep(folder, path.name)
    try:
        handle, name = tempfile.mkstemp(prefix=f".{path.name}.", suffix=".part", dir=folder)
    except OSError as fault:
        raise ValueError(f"{path}: cannot be written: {fault.strerror}") from fault
    os.close(handle)
    try:
        yield Path(name)
        with open(name, "rb") as file:
            os.fsync(file.fileno())
        os.replace(name, path)
        _sync_folder(folder)
    finally:
        Path(name).unlink(missing_ok=True)


def _sweep(folder: Path, name: str) -> None:
    """Take away what an earlier writing left behind that was killed; one that is under way was touched just now."""
    for left in folder.iterdir():
        if left.name.startswith(f".{name}.") and left.suffix == ".part":
            with suppress(OSError):
                if time.time() - left.stat().st_mtime > LEFT_BEHIND:
                    left.unlink()


def _sync_folder(folder: Path) -> None:
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


class Packer:
    """Writes members one after the other and keeps the digest of each for the manifest."""

    def __init__(self, file: Path) -> None:
        self._zip = zipfile.ZipFile(file, "w", allowZip64=True)
        self.members: dict[str, dict[str, Any]] = {}

    def add(self, name: str, pieces: Iterable[bytes], *, squeeze: bool = True) -> int:
        """Write a member from its pieces; photographs are squeezed already. Returns its bytes."""
        about = zipfile.ZipInfo(name, STILL)
        about.compress_type = zipfile.ZIP_DEFLATED if squeeze else zipfile.ZIP_STORED
        about.external_attr = 0o600 << 16
        digest, size = hashlib.sha256(), 0
        with self._zip.open(about, "w", force_zip64=True) as member:
            for piece in pieces:
                digest.update(piece)
                size += len(piece)
                member.write(piece)
        self.members[name] = {"sha256": digest.hexdigest(), "bytes": size}
        return size

    def close(self, manifest: dict[str, Any], dated: Date = STILL) -> str:
        """Write the manifest, with the digests of all members, and end the file.

        ``dated`` is the date of that member in the directory. Returns the SHA-256 of the manifest, and so of it all.
        """
        told = manifest | {"members": dict(sorted(self.members.items()))}
        text = json.dumps(told, indent=1, ensure_ascii=False).encode()
        with self._zip.open(zipfile.ZipInfo(MANIFEST, dated), "w") as member:
            member.write(text)
        self._zip.close()
        return hashlib.sha256(text).hexdigest()


def in_pieces(file: Any) -> Iterator[bytes]:
    """A file from its beginning to its end, a piece at a time."""
    while piece := file.read(PIECE):
        yield piece


class Unpacked:
    """A packed file that was found good: its manifest, and its members to read."""

    def __init__(self, packed: zipfile.ZipFile, manifest: dict[str, Any]) -> None:
        self.zip, self.manifest = packed, manifest

    @property
    def members(self) -> dict[str, dict[str, Any]]:
        return self.manifest["members"]  # type: ignore[no-any-return]


@contextmanager
def opened(path: Path, form: str, version: int) -> Iterator[Unpacked]:
    """Open a packed file of ours. Raises ValueError when anything about it is not as its manifest says."""
    try:
        packed = zipfile.ZipFile(path)
    except FileNotFoundError as fault:
        raise ValueError(f"{path}: there is no such file") from fault
    except (*DAMAGE, OSError, ValueError, struct.error) as fault:
        raise ValueError(f"{path}: no packed file of Filamentry ({fault})") from fault
    with packed:
        try:
            manifest = _checked(packed, path, form, version)
        except (*DAMAGE, OSError, OverflowError, RuntimeError, struct.error) as fault:  # places outside the file, too
            raise ValueError(f"{path}: damaged ({fault})") from fault
        try:
            yield Unpacked(packed, manifest)
        except DAMAGE as fault:
            raise ValueError(f"{path}: damaged ({fault})") from fault


def _facts(about: zipfile.ZipInfo) -> MemberFacts:
    link = stat.S_ISLNK(about.external_attr >> 16)
    return MemberFacts(about.orig_filename, about.file_size, bool(about.flag_bits & 0x1), link)


def _checked(packed: zipfile.ZipFile, path: Path, form: str, version: int) -> dict[str, Any]:
    faults = member_faults(map(_facts, packed.infolist()), path.stat().st_size)
    if faults:
        raise ValueError(f"{path}: {faults[0]}")
    names = set(packed.namelist())
    if MANIFEST not in names:
        raise ValueError(f"{path}: no {MANIFEST} in it, expected a file written by this program")
    manifest = _manifest(packed, path)
    found = manifest.get("format"), manifest.get("version")
    if found[0] != form:
        raise ValueError(f"{path}: {MANIFEST}: format: {found[0]!r}, expected {form!r}")
    if found[1] != version:
        raise ValueError(f"{path}: {MANIFEST}: version: {found[1]!r}, expected {version}")
    told = manifest.get("members")
    if not isinstance(told, dict) or not all(isinstance(about, dict) for about in told.values()):
        raise ValueError(f"{path}: {MANIFEST}: members: expected names with their digests")
    for name in sorted(names - {MANIFEST} - set(told)):
        raise ValueError(f"{path}: {name} is not in the manifest")
    for name in sorted(set(told) - names):
        raise ValueError(f"{path}: {name} is missing")
    for name, about in told.items():
        if (digest := digest_of(packed, name)) != about.get("sha256"):
            raise ValueError(f"{path}: {name}: SHA-256 {digest}, expected {about.get('sha256')}")
    return manifest


def _manifest(packed: zipfile.ZipFile, path: Path) -> dict[str, Any]:
    if packed.getinfo(MANIFEST).file_size > LONGEST_MANIFEST:
        raise ValueError(f"{path}: {MANIFEST}: longer than {LONGEST_MANIFEST} bytes")
    try:
        manifest = json.loads(packed.read(MANIFEST).decode("utf-8"))
    except (ValueError, RecursionError) as fault:
        raise ValueError(f"{path}: {MANIFEST}: no JSON ({str(fault)[:80]})") from fault
    if not isinstance(manifest, dict):
        raise ValueError(f"{path}: {MANIFEST}: expected one JSON object")
    return manifest


def digest_of(packed: zipfile.ZipFile, name: str) -> str:
    """The SHA-256 of a member, read to its end."""
    digest = hashlib.sha256()
    with packed.open(name) as member:
        for piece in in_pieces(member):
            digest.update(piece)
    return digest.hexdigest()
