"""The folder of the embedded store: there, ours to write, and on a disk of this machine."""

from __future__ import annotations

import os
from pathlib import Path

from api.doctor.finding import Finding, ok, trouble, warning
from api.doctor.mounts import MOUNTS, mount_of

_OVER_A_NETWORK = frozenset(
    {"9p", "afs", "beegfs", "ceph", "cifs", "davfs", "gfs2", "glusterfs", "gpfs", "lustre", "ncpfs", "nfs", "nfs4"}
    | {"ocfs2", "orangefs", "pvfs2", "smb3", "smbfs", "vboxsf", "virtiofs"}
    | {"fuse.ceph", "fuse.davfs2", "fuse.glusterfs", "fuse.s3fs", "fuse.sshfs"}
)
"""Kinds of file system as Linux names them (from memory)."""
_SHORT_LIVED = {"tmpfs": "it is gone at the next start of the machine", "overlay": "it is gone with its container"}


def folder(data: Path) -> Finding:
    what, data = "data folder", data.absolute()
    if not data.exists():
        return _not_there(what, data)
    if not data.is_dir():
        return trouble(what, f"{data} is a file", "name a folder: --data, or TAPCALL_DATA")
    if not os.access(data, os.R_OK | os.W_OK | os.X_OK):
        return trouble(what, f"{data} cannot be written by {_me()}", "give it to the user who runs the service")
    return ok(what, f"{data}, writable by {_me()}")


def files(data: Path) -> Finding:
    """SQLite's own files, each of which the service must be able to write."""
    what, here = "files of the store", sorted(data.glob("tapcall.sqlite3*"))
    if not here:
        return trouble(what, f"no store in {data.absolute()}", "name the right folder, or begin one: tapcall serve")
    if locked := [path.name for path in here if not os.access(path, os.R_OK | os.W_OK)]:
        return trouble(what, f"{_me()} cannot write {', '.join(locked)}", "give them to the user who runs the service")
    strange = [path.name for path in here if path.stat().st_uid != data.stat().st_uid]
    if strange:
        return warning(
            what,
            f"{', '.join(strange)} and the folder belong to different users",
            "give all to the user who runs the service, and run tapcall as that user only",
        )
    return ok(what, ", ".join(path.name for path in here))


def file_system(data: Path, mounts: Path = MOUNTS) -> Finding:
    """A write-ahead log needs memory shared by all who use the store, which no network gives: sqlite.org/wal.html."""
    what = "file system"
    mount = mount_of(data, mounts)
    if mount is None:
        return warning(what, "this system does not say", "see to it that the data folder is on a disk of this machine")
    said = f"{mount.kind}, mounted on {mount.at}"
    if mount.kind in _OVER_A_NETWORK:
        return trouble(
            what,
            f"{said}: a file system shared over a network can damage the store",
            "move the data folder to a disk of this machine, or set TAPCALL_DATABASE_URL",
        )
    if mount.kind in _SHORT_LIVED:
        return warning(what, f"{said}: {_SHORT_LIVED[mount.kind]}", "move the data folder to a disk or a volume")
    if mount.kind.startswith("fuse"):
        return warning(what, f"{said}: may be shared over a network", "be sure that it is a disk of this machine")
    return ok(what, said)


def _not_there(what: str, data: Path) -> Finding:
    above = next(parent for parent in data.parents if parent.exists())
    if not os.access(above, os.W_OK | os.X_OK):
        return trouble(what, f"{data} does not exist, and {_me()} cannot make it in {above}", "make it for that user")
    return trouble(what, f"{data} does not exist", "name the right folder, or begin one: tapcall serve makes it")


def _me() -> str:
    return f"user {os.geteuid()}"
