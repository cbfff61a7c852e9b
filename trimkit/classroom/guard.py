"""Walls round a pupil's code: what it may see, and how much of the machine it may use.

Outside stands bubblewrap, which shows a room only the programs and the package, and no network.
Inside, every pupil gets walls of their own: an empty home, no sight of other processes, limits.
Where bubblewrap does not work, the limits alone remain.
"""

from __future__ import annotations

import contextlib
import ctypes
import os
import shutil
import site
import sys
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from trimkit import places

INSIDE_ID = 1000  # user and group as seen from inside the walls; any but 0, assumed
NOBODY = 65534  # who a room becomes when root opens it; the usual number on Linux
HOME = "/run/home"
SCRATCH = "/run/room"
_SYSTEM = ("/usr", "/bin", "/sbin", "/lib", "/lib32", "/lib64", "/etc/alternatives")
_SYSTEM_FILES = ("/etc/fonts", "/etc/ld.so.cache", "/etc/localtime")
_AS_ROOT = [
    *("--unshare-pid", "--unshare-net", "--unshare-ipc", "--unshare-uts"),
    *("--cap-drop", "ALL", "--cap-add", "CAP_SETUID", "--cap-add", "CAP_SETGID"),
]  # so that `become_nobody` can work; a name space of users would leave root's own number
_COVERED = (HOME, SCRATCH, "/dev/shm", "/dev/mqueue")
_CACHE_SIZE = "size=64m,nr_inodes=4000,mode=700"  # the flight engine's takes 5 MB, 160 files
_NEW_MOUNTS, _NEW_USERS, _NEW_PIDS, _NEW_IPC = 0x20000, 0x10000000, 0x20000000, 0x8000000
_NO_SUID, _NO_DEVICES = 2, 4
_DUMPABLE, _NO_NEW_PRIVILEGES, _CAPABILITIES_3 = 4, 38, 0x20080522
_SPARE_PROCESSES = 48  # beside those that the user has already, when there is no wall; assumed


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """How much one pupil's notebook may use. All assumed, far above what a lesson takes.

    Parameters
    ----------
    cell_s : float
        Time for one cell [s].
    notebook_s : float
        Time for the notebook [s].
    memory_mb : int
        Memory beside what the room holds already, for each process [MB].
    processes : int
        Processes and threads [-].
    file_mb : int
        Largest file, and twice that for all files together [MB].
    files : int
        Files in the pupil's home [-].
    output_kb : int
        Output kept of one cell [KB].
    grace_s : float
        Time that a cell has to end after it was told to [s].
    """

    cell_s: float = 20.0
    notebook_s: float = 60.0
    memory_mb: int = 1024
    processes: int = 32
    file_mb: int = 16
    files: int = 2000
    output_kb: int = 4000
    grace_s: float = 3.0


def available() -> str:
    """Find bubblewrap.

    Returns
    -------
    str
        Path of the command, empty when there is none [-].
    """
    return shutil.which("bwrap") or ""


def walls(scratch: Path, secrets: Sequence[Path], caches: Sequence[Path]) -> list[str]:
    """Make the command that puts bubblewrap round a room.

    Parameters
    ----------
    scratch : pathlib.Path
        Folder that the room may write to; seen inside as `SCRATCH` [-].
    secrets : sequence of pathlib.Path
        Folders that must not be seen [-].
    caches : sequence of pathlib.Path
        Folders of compiled code, each replaced by a copy `scratch/caches/0` and so on [-].

    Returns
    -------
    list of str
        To be followed by the command to run inside [-].
    """
    hidden = [secret.resolve() for secret in secrets]
    shown = [Path(name) for name in _SYSTEM if Path(name).is_dir()]
    shown += [Path(name) for name in _SYSTEM_FILES if Path(name).exists()]
    shown += [folder for folder in _python_folders() if not _holds(folder, hidden)]
    shown += _package_files()
    command = [available(), "--die-with-parent", "--new-session", *_AS_ROOT]
    if os.geteuid():
        command[3:] = ["--unshare-all", "--uid", str(INSIDE_ID), "--gid", str(INSIDE_ID)]
    for folder in [Path("/tmp"), *_above([*shown, Path(HOME), Path(SCRATCH)])]:
        command += ["--dir", str(folder)]  # one made for want of it would be closed to nobody
    for path in dict.fromkeys(shown):
        command += ["--ro-bind", str(path), str(path)]
    command += ["--proc", "/proc", "--dev", "/dev", "--dir", HOME]
    command += [o for path in hidden if _inside(path, shown) for o in ("--tmpfs", str(path))]
    command += ["--bind", str(scratch), SCRATCH]
    for number, folder in enumerate(caches):
        command += ["--bind", str(scratch / "caches" / str(number)), str(folder)]
    return [*command, "--remount-ro", "/", "--chdir", "/"]


def _python_folders() -> list[Path]:
    known = [Path(sys.prefix), Path(sys.base_prefix)]
    sites = [Path(name) for name in (*site.getsitepackages(), site.getusersitepackages())]
    return [*known, *(path for path in sites if path.is_dir() and not _inside(path, known))]


def _above(paths: Iterable[Path]) -> list[Path]:
    return sorted({parent for path in paths for parent in path.parents} - {Path("/")})


def _package_files() -> list[Path]:
    package = places.package_folder()
    beside = [package.parent / "pyproject.toml", places.demo_folder()]
    return [package, *(path for path in beside if path.exists())]


def _holds(folder: Path, secrets: Iterable[Path]) -> bool:
    """Say whether a folder is a secret or lies in one; one that contains secrets is covered."""
    return any(folder.resolve().is_relative_to(secret) for secret in secrets)


def _inside(path: Path, folders: Iterable[Path]) -> bool:
    return any(path.is_relative_to(folder.resolve()) for folder in folders)


def become_nobody() -> None:
    """Give up root's rights for good; nothing for another user."""
    if os.geteuid() == 0:
        os.setgroups([])
        os.setgid(NOBODY)
        os.setuid(NOBODY)
        _libc().prctl(_DUMPABLE, 1, 0, 0, 0)  # or the kernel refuses the maps below


def enclose(limits: Limits, caches: Sequence[tuple[str, str]]) -> None:
    """Leave the room for walls of one's own; the next process that is forked lives in them.

    Parameters
    ----------
    limits : Limits
        Size of the home [-].
    caches : sequence of (str, str)
        Folders of compiled code that the room can write to, and the copies to read [-].

    Raises
    ------
    OSError
        When the kernel refuses one of them: then no pupil's code may run.
    """
    user, group = os.getuid(), os.getgid()
    _try(_libc().unshare(_NEW_MOUNTS | _NEW_USERS | _NEW_PIDS | _NEW_IPC), "walls of its own")
    for name, line in (
        ("setgroups", "deny"),
        ("uid_map", f"{INSIDE_ID} {user} 1"),
        ("gid_map", f"{INSIDE_ID} {group} 1"),
    ):
        with open(f"/proc/self/{name}", "w", encoding="ascii") as file:
            file.write(line)
    kept = {place: sorted(os.listdir(copy)) for place, copy in caches}
    copies = [(place, os.open(copy, os.O_RDONLY | os.O_DIRECTORY)) for place, copy in caches]
    size = f"size={2 * limits.file_mb}m,nr_inodes={limits.files},mode=700"
    for place in filter(os.path.isdir, _COVERED):
        _mount("tmpfs", place, size)
    for place, handle in copies:
        _mount("tmpfs", place, _CACHE_SIZE)
        _fill(place, handle, kept[place])


def _fill(place: str, handle: int, names: Sequence[str]) -> None:
    for name in names:
        inside = os.open(name, os.O_RDONLY, dir_fd=handle)
        with open(inside, "rb") as source, open(f"{place}/{name}", "wb") as copy:
            shutil.copyfileobj(source, copy)
        status = os.stat(name, dir_fd=handle)
        os.utime(f"{place}/{name}", (status.st_atime, status.st_mtime))
    os.close(handle)


def lock_up() -> None:
    """In the first process inside the walls: hide other processes and give up all rights.

    Raises
    ------
    OSError
        When the kernel refuses.
    """
    try:
        _mount("proc", "/proc", "")
    except OSError:  # under root bubblewrap has covered parts of it
        _mount("tmpfs", "/proc", "size=4k,mode=555")
    header = (ctypes.c_uint32 * 2)(_CAPABILITIES_3, 0)
    nothing = (ctypes.c_uint32 * 6)()
    _try(_libc().capset(ctypes.byref(header), ctypes.byref(nothing)), "giving up rights")
    _try(_libc().prctl(_NO_NEW_PRIVILEGES, 1, 0, 0, 0), "never getting rights back")


def die_with_parent() -> None:
    """Ask the kernel to end this process when its parent ends; Linux only, nothing elsewhere."""
    if sys.platform == "linux":
        _libc().prctl(1, 9, 0, 0, 0)


def adopt_orphans() -> None:
    """Make whatever descends from this process fall back to it; Linux only, nothing elsewhere."""
    if sys.platform == "linux":
        _libc().prctl(36, 1, 0, 0, 0)


def limit(limits: Limits, walled: bool) -> None:
    """Limit this process and all it starts.

    Parameters
    ----------
    limits : Limits
        The limits [-].
    walled : bool
        Whether it has walls of its own, so that only its own processes count [-].
    """
    import resource

    os.umask(0o077)
    with contextlib.suppress(OSError), open("/proc/self/oom_score_adj", "w") as file:
        file.write("1000")  # when memory runs out, this one goes first
    processes = limits.processes if walled else _processes_of_user() + _SPARE_PROCESSES
    seconds = int(limits.notebook_s) + 5
    for what, most in (
        (resource.RLIMIT_AS, _address_space() + limits.memory_mb * 2**20),
        (resource.RLIMIT_CPU, seconds),
        (resource.RLIMIT_FSIZE, limits.file_mb * 2**20),
        (resource.RLIMIT_NOFILE, 256),
        (resource.RLIMIT_NPROC, processes),
        (resource.RLIMIT_CORE, 0),
    ):
        _, hard = resource.getrlimit(what)
        allowed = most if hard == resource.RLIM_INFINITY else min(most, hard)
        with contextlib.suppress(ValueError, OSError):  # a system that knows no such limit
            resource.setrlimit(what, (allowed, allowed))


def _address_space() -> int:
    try:
        with open("/proc/self/statm", encoding="ascii") as file:
            return int(file.read().split()[0]) * os.sysconf("SC_PAGE_SIZE")
    except OSError:
        return 2 * 2**30


def _processes_of_user() -> int:
    count = 0
    with contextlib.suppress(OSError):
        for name in filter(str.isdecimal, os.listdir("/proc")):
            with contextlib.suppress(OSError):
                if os.stat(f"/proc/{name}").st_uid == os.getuid():
                    count += len(os.listdir(f"/proc/{name}/task"))
    return count or 400


def _mount(kind: str, place: str, options: str) -> None:
    flags = _NO_SUID | _NO_DEVICES
    done = _libc().mount(kind.encode(), place.encode(), kind.encode(), flags, options.encode())
    _try(done, f"covering {place}")


def _try(done: int, what: str) -> None:
    if done:
        number = ctypes.get_errno()
        raise OSError(number, f"{what}: {os.strerror(number)}")


def _libc() -> ctypes.CDLL:
    return ctypes.CDLL(None, use_errno=True)
