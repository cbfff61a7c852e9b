"""JupyterHub with three real accounts: set up as its page says, a lesson out, in, marked and back.

The accounts are real to the system but live in name spaces of their own (`school`). Passwords are
tried at the door of the Hub; past it, tokens of the Hub's interface, one for each account, prove
who asks.
"""

from __future__ import annotations

import http.cookiejar
import json
import os
import re
import secrets
import shutil
import socket
import stat
import subprocess
import sys
import time
import urllib.error
import urllib.parse
import urllib.request
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any

import nbformat
import pytest
from papers import INSTRUCTOR

from trimkit import places
from trimkit.classroom import crowd, marking, pupils
from trimkit.lesson import handin, tasks

pytestmark = pytest.mark.scale

LESSON, NOTEBOOK = "02-angles", "02-angles/angles.ipynb"
WORD = "birch"
ACCOUNTS = ("pupil-07", "pupil-08", "coach")
PAGE = (INSTRUCTOR / "hub" / "README.md").read_text("utf-8")
TOOLS = ("unshare", "nsenter", "runuser", "useradd", "bwrap", "configurable-http-proxy")
BASE = Path("/srv/trimkit")
COURSE, EXCHANGE, HUB = BASE / "course", BASE / "exchange" / "trimkit", BASE / "hub"
AS_COACH = f"cd {COURSE}/instructor\n"
SCOPES = ("admin:users", "admin:servers", "access:servers", "tokens")
PATIENCE_S = 120.0


def commands(beginning: str) -> str:
    """Take the commands out of the page that begin so."""
    (found,) = re.findall(rf"```sh\n({re.escape(beginning)}.*?)```", PAGE, re.S)
    return str(found)


def work_of(account: str) -> Path:
    """Name a pupil's work folder."""
    return Path("/home") / account / places.default_work_folder().name


def missing() -> str:
    """Say what hinders a school on this machine."""
    if sys.platform != "linux" or os.geteuid():
        pytest.skip("only root on Linux can have other accounts")
    lacking = [name for name in TOOLS if shutil.which(name) is None]
    with suppress(ImportError):
        import jupyterhub  # noqa: F401

        return f"not on this machine: {', '.join(lacking)}" if lacking else ""
    return "not installed: jupyterhub, of the group scale"


class School:
    """A school's machine, and its Hub."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.token = secrets.token_hex(16)
        self.ports = _free_ports(3)
        self.tokens: dict[str, str] = {}
        self.hub: subprocess.Popen[bytes] | None = None
        self.path = os.pathsep.join([str(Path(sys.executable).parent), os.environ["PATH"]])

    def make(self) -> None:
        """Begin to make the accounts and folders."""
        about = {
            "project": str(places.checkout()),
            "wheel": str(_wheel(self.folder)),
            "needed": [str(path) for path in _needed()],
            "set_up": commands("groupadd"),
        }
        walls = ["unshare", "--mount", "--pid", "--fork", "--kill-child", "--mount-proc"]
        script = str(Path(__file__).with_name("school.py"))
        self.machine = subprocess.Popen(
            [*walls, sys.executable, "-I", script, json.dumps(about)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
        )

    def start(self) -> None:
        """Start the Hub when all is made."""
        assert self.machine.stdout is not None
        assert self.machine.stdout.readline() == b"ready\n", "the school could not be made"
        tree = Path(f"/proc/{self.machine.pid}/task/{self.machine.pid}/children")
        self.first = int(tree.read_text())
        self.root = Path(f"/proc/{self.first}/root")
        settings = self.there(HUB / "jupyterhub_config.py")
        text = settings.read_text("utf-8")
        assert text.count('CLASS_WORD = ""') == 1
        settings.write_text(text.replace('CLASS_WORD = ""', f'CLASS_WORD = "{WORD}"'), "utf-8")
        front, hub, proxy = self.ports
        self.there(HUB / "here.py").write_text(
            f"load_subconfig('{HUB}/jupyterhub_config.py')\n"
            f"c.JupyterHub.bind_url = 'http://127.0.0.1:{front}'\n"
            f"c.JupyterHub.hub_port = {hub}\n"
            f"c.ConfigurableHTTPProxy.api_url = 'http://127.0.0.1:{proxy}'\n"
            "c.JupyterHub.tornado_settings = dict(slow_spawn_timeout=0)\n"  # all three at once
            f"c.JupyterHub.services = [dict(name='test', api_token='{self.token}')]\n"
            f"c.JupyterHub.load_roles = [dict(name='test', services=['test'], scopes={SCOPES})]\n"
        )
        with (self.folder / "hub.log").open("wb") as log:
            self.hub = subprocess.Popen(
                self._inside("root", sys.executable, "-m", "jupyterhub", "-f", f"{HUB}/here.py"),
                env=self._environment("root"),
                stdin=subprocess.DEVNULL,
                stdout=log,
                stderr=log,
            )
        self.until(lambda: self.ask("hub/api/")[0] == 200, "the Hub did not answer")

    def close(self) -> None:
        """End everything: the first process of the school takes all others with it."""
        self.machine.communicate(timeout=30)  # which closes its input
        if self.hub is not None:
            self.hub.wait(30)

    def there(self, path: Path) -> Path:
        """Say where a place of the school is seen from outside."""
        return self.root / path.relative_to("/")

    def run(self, account: str, *words: str) -> subprocess.CompletedProcess[str]:
        """Run a command as an account, as from a terminal of its own."""
        return subprocess.run(
            self._inside(account, *words),
            env=self._environment(account),
            stdin=subprocess.DEVNULL,
            capture_output=True,
            text=True,
        )

    def _inside(self, account: str, *words: str) -> list[str]:
        go_in = ["nsenter", "--target", str(self.first), "--mount", "--pid", "--"]
        home = 'cd 2> /dev/null; exec "$@"'  # nobody has none
        return [*go_in, "runuser", "-u", account, "--", "sh", "-c", home, "sh", *words]

    def _environment(self, account: str) -> dict[str, str]:
        return {
            "HOME": str(HUB if account == "root" else Path("/home") / account),
            "PATH": self.path,
            "LANG": "C.UTF-8",
            "PYTHONPATH": str(BASE / "lib"),
        }

    def ask(
        self, path: str, method: str = "GET", body: object = None, by: str = ""
    ) -> tuple[int, Any]:
        """Ask the Hub or a server behind it, as an account or as the test's own service."""
        request = urllib.request.Request(
            f"http://127.0.0.1:{self.ports[0]}/{path}",
            data=None if body is None else json.dumps(body).encode(),
            headers={"Authorization": f"token {self.tokens.get(by, self.token)}"},
            method=method,
        )
        direct = urllib.request.build_opener(urllib.request.ProxyHandler({}))
        try:
            with direct.open(request, timeout=60) as reply:
                said = reply.read()
                status = reply.status
        except urllib.error.HTTPError as refused:
            with refused:
                said, status = refused.read(), refused.code
        except OSError:
            return 0, None
        return status, json.loads(said) if said[:1] in (b"{", b"[") else None

    def log_in(self, account: str, password: str) -> int:
        """Log in as a browser does, and say what came of it."""
        cookies = http.cookiejar.CookieJar()
        browser = urllib.request.build_opener(
            urllib.request.ProxyHandler({}), urllib.request.HTTPCookieProcessor(cookies)
        )
        page = f"http://127.0.0.1:{self.ports[0]}/hub/login"
        browser.open(page, timeout=60).close()
        form = {"username": account, "password": password}
        form |= {cookie.name: cookie.value or "" for cookie in cookies}  # _xsrf
        goal = f"{page}?next=%2Fhub%2Fapi%2Fuser"
        try:
            with browser.open(goal, urllib.parse.urlencode(form).encode(), timeout=60) as reply:
                assert json.loads(reply.read())["name"] == account
                return int(reply.status)
        except urllib.error.HTTPError as refused:
            refused.close()
            return refused.code

    def own(self, account: str, path: str, method: str = "GET", body: object = None) -> Any:
        """Ask an account's own server as that account, and take the answer."""
        status, told = self.ask(f"user/{account}/{path}", method, body, account)
        assert status in (200, 201), (status, told)
        return told

    def coach(self, words: str) -> None:
        """Let the coach type lines in a terminal."""
        done = self.run("coach", "sh", "-euc", words)
        assert done.returncode == 0, done.stdout + done.stderr

    def let_in(self, account: str) -> None:
        """Start an account's server through the Hub, and get the account's own token."""
        user = f"hub/api/users/{account}"
        assert self.ask(user, "POST")[0] == 201
        self.tokens[account] = self.ask(f"{user}/tokens", "POST", {})[1]["token"]
        assert self.ask(f"{user}/server", "POST", {})[0] in (201, 202)

    def wait_for(self, account: str) -> None:
        """Wait until an account's server answers."""
        server = f"user/{account}/api/status"
        self.until(lambda: self.ask(server)[0] == 200, f"the server of {account} did not answer")

    def until(self, done: Any, words: str) -> None:
        """Wait until something is so."""
        end = time.monotonic() + PATIENCE_S
        while not done():
            log = (self.folder / "hub.log").read_text("utf-8", "replace")
            assert self.hub is not None
            assert self.hub.poll() is None, log[-3000:]
            assert time.monotonic() < end, f"{words}\n{log[-3000:]}"
            time.sleep(0.1)

    def servers(self) -> dict[int, int]:
        """Read from the system whose servers run: number of the account, and of the process."""
        found = {}
        for place in self.there(Path("/proc")).glob("[0-9]*"):
            with suppress(OSError):
                words = (place / "cmdline").read_bytes().decode().split("\0")
                if "jupyterhub.singleuser" in words:
                    found[place.stat().st_uid] = int(place.name)
        return found

    def number(self, account: str) -> int:
        """Say the system's number of an account."""
        return int(self.run("root", "id", "-u", account).stdout)


def _needed() -> list[Path]:
    """List the folders of Python and the proxy that may lie where other accounts cannot enter."""
    proxy = Path(shutil.which("configurable-http-proxy") or "")
    modules = [path for path in proxy.resolve().parents if path.name == "node_modules"]
    folders = [Path(sys.prefix), Path(sys.base_prefix), proxy.parent, *modules[-1:]]
    found = {folder.resolve() for folder in folders} | {Path("/usr")}
    return [path for path in found if not found & set(path.parents) and path != Path("/usr")]


def _free_ports(count: int) -> list[int]:
    probes = [socket.create_server(("127.0.0.1", 0)) for _ in range(count)]
    ports = [probe.getsockname()[1] for probe in probes]
    for probe in probes:
        probe.close()
    return ports


def _wheel(folder: Path) -> Path:
    """Build what the page's `pip install .` installs; keys are not in it."""
    build = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(folder)]
    subprocess.run(build, cwd=places.checkout(), check=True, capture_output=True)
    (built,) = folder.glob("*.whl")
    return built


@pytest.fixture(scope="module")
def school(tmp_path_factory: pytest.TempPathFactory) -> Iterator[School]:
    trouble = missing()
    if trouble and "scale" not in os.environ.get("TRIMKIT_REQUIRE", "").split(","):
        pytest.skip(trouble)
    assert not trouble, trouble
    made = School(tmp_path_factory.mktemp("school"))
    made.make()
    try:
        made.start()
        made.coach(commands(f"{AS_COACH}nbgrader release_assignment"))
        for account in ACCOUNTS:
            made.let_in(account)
        for account in ACCOUNTS:
            made.wait_for(account)
        yield made
    finally:
        made.close()
    assert not Path(f"/proc/{made.first}").exists()


@pytest.fixture(scope="module")
def handed_in(school: School) -> School:
    """Let both pupils answer in JupyterLab and hand in from the panel: all good, and blank."""
    keys = marking.load(INSTRUCTOR / "marking" / "02.py")
    for number, policy in zip((7, 8), pupils.policies(2), strict=True):
        account = handin.folder_name(number)
        path = f"api/contents/{NOTEBOOK}"
        released = nbformat.from_dict(school.own(account, path)["content"])
        paper = pupils.fill_in(released, tasks.load("02"), keys, (number, WORD), policy)
        school.own(account, path, "PUT", {"type": "notebook", "content": paper.notebook})
        told = school.own(account, "trimkit/hand-in", "POST", {"path": NOTEBOOK, "make": True})
        assert told["exchange"] is True, told
    return school


@pytest.fixture(scope="module")
def marked(handed_in: School) -> School:
    """Let the coach do what the page says: collect, mark, make the pages, give them back."""
    usual = "trimkit mark 02 --course .."
    words = commands(f"{AS_COACH}nbgrader collect")
    assert words.count(usual) == 1
    handed_in.coach(words.replace(usual, f"{usual} --class-word {WORD}"))
    return handed_in


def test_every_server_runs_as_its_own_account(school: School) -> None:
    numbers = [school.number(account) for account in ACCOUNTS]
    assert 0 not in numbers
    assert sorted(school.servers()) == sorted(numbers)
    known = Path("/etc/passwd").read_text("utf-8")  # this machine itself knows no pupil
    assert "pupil-0" not in known
    assert "pupil-07" in school.there(Path("/etc/passwd")).read_text("utf-8")


def test_the_hub_opens_to_a_right_password_of_an_account_of_the_group(school: School) -> None:
    assert school.run("root", "useradd", "guest").returncode == 0
    word = secrets.token_hex(8)
    tell = 'printf "%s:%s\n" pupil-08 "$1" guest "$1" | chpasswd'
    assert school.run("root", "sh", "-c", tell, "sh", word).returncode == 0
    assert school.log_in("pupil-08", word) == 200
    assert school.log_in("pupil-08", "guess") == 403
    assert school.log_in("guest", word) == 403


def test_a_pupils_work_folder_is_ready_and_the_pupils_own(school: School) -> None:
    for number in (7, 8):
        account = handin.folder_name(number)
        told = school.own(account, "trimkit/course")
        assert (told["role"], told["pupil"], told["prefix"]) == ("pupil", number, "")
        assert told["writable"] is True
        folder = school.there(work_of(account))
        assert f'class_word = "{WORD}"' in (folder / places.PUPIL_FILE).read_text("utf-8")
        owners = {path.lstat().st_uid for path in [folder, *folder.rglob("*")]}
        assert owners == {school.number(account)}


def test_a_hand_in_belongs_to_who_made_it_and_holds_nothing_else(handed_in: School) -> None:
    inbound = handed_in.there(EXCHANGE / "inbound")
    assert stat.S_IMODE(inbound.stat().st_mode) == 0o2733  # put in, but do not look
    found = {path.name.split("+")[0]: path for path in inbound.iterdir()}
    assert sorted(found) == ["pupil-07", "pupil-08"]
    for account, folder in found.items():
        assert {path.name for path in folder.iterdir()} == {
            "angles.ipynb", "timestamp.txt", "submission_secret.txt",
        }  # fmt: skip
        owners = {path.lstat().st_uid for path in [folder, *folder.iterdir()]}
        assert owners == {handed_in.number(account)}


def test_a_pupil_sees_the_marks_that_the_coach_gave_back(marked: School) -> None:
    lesson = {one["folder"]: one for one in marked.own("coach", "trimkit/course")["lessons"]}
    assert (lesson[LESSON]["handed_in"], lesson[LESSON]["marked"]) == (2, 2)
    states = {}
    for account in ("pupil-07", "pupil-08"):
        told = marked.own(account, "trimkit/course")
        assert told["notes"] == []
        (one,) = (lesson for lesson in told["lessons"] if lesson["id"] == "02")
        states[account] = one["state"]
        page = marked.there(work_of(account) / one["feedback"])
        assert f"pupil {int(account[-2:])}" in page.read_text("utf-8")
        before = page.stat().st_mtime_ns
        marked.own(account, "trimkit/course")
        assert page.stat().st_mtime_ns == before  # fetched once
    assert states == {
        "pupil-07": "marked: 14 of 16 points", "pupil-08": "marked: 0 of 16 points",
    }  # fmt: skip


def closed(account: str) -> dict[str, str]:
    """Name what only somebody else may read, and who."""
    work = work_of(account)
    return {
        f"{work}/{NOTEBOOK}": account,
        f"{work}/{places.PUPIL_FILE}": account,
        f"{work}/hand-in/{account}_{LESSON}.zip": account,
        f"{COURSE}/instructor/marking/02.py": "coach",
        f"{COURSE}/instructor/source/{NOTEBOOK}": "coach",
        f"{COURSE}/marking/gradebook.db": "coach",
        f"{COURSE}/marking/submitted/{account}/{NOTEBOOK}": "coach",
        f"{COURSE}/marking/feedback/{account}/{LESSON}/angles.html": "coach",
        f"{HUB}/jupyterhub.sqlite": "root",
        f"{HUB}/cookie_secret": "root",
        f"{HUB}/jupyterhub_config.py": "root",
    }


@pytest.mark.parametrize("path", closed("pupil-08"), ids=lambda path: path.removeprefix("/"))
def test_a_pupil_reads_nothing_of_anybody_else(marked: School, path: str) -> None:
    assert marked.run(closed("pupil-08")[path], "head", "-c", "1", path).returncode == 0
    refused = marked.run("pupil-07", "head", "-c", "1", path)
    assert (refused.returncode, refused.stdout) == (1, "")
    assert "Permission denied" in refused.stderr


def test_the_keys_are_nowhere_else_in_a_pupils_reach(marked: School) -> None:
    """What is installed for everybody, and where the project itself lies, hold none."""
    project = places.checkout()
    look = ["find", str(BASE), str(project), "-path", "*marking*", "-name", "02.py"]
    found = marked.run("coach", *look).stdout.split()
    assert found == [f"{COURSE}/instructor/marking/02.py"]
    assert marked.run("pupil-07", *look).stdout == ""
    assert marked.run("pupil-07", "ls", str(BASE / "lib" / "trimkit")).returncode == 0


@pytest.mark.parametrize(
    "words",
    [
        ("ls", f"{EXCHANGE}/inbound"),
        ("ls", f"{EXCHANGE}/feedback"),
        ("touch", f"{EXCHANGE}/outbound/{LESSON}/more"),
        ("touch", f"{EXCHANGE}/feedback/more"),
        ("mkdir", f"{EXCHANGE}/more"),
        ("mv", str(EXCHANGE), f"{EXCHANGE}-away"),
        ("ls", str(COURSE)),
        ("ls", str(HUB)),
    ],
    ids=lambda words: "-".join(words).replace("/", "."),
)
def test_a_pupil_cannot_look_through_or_change_the_exchange(
    marked: School, words: tuple[str, ...]
) -> None:
    refused = marked.run("pupil-07", *words)
    assert refused.returncode != 0
    assert re.search("Permission denied|Operation not permitted", refused.stderr), refused.stderr
    assert EXCHANGE.name in marked.run("coach", "ls", str(EXCHANGE.parent)).stdout


def test_a_pupils_token_opens_no_other_server(school: School) -> None:
    assert school.ask("user/pupil-07/api/contents", by="pupil-07")[0] == 200
    for path in ("user/pupil-08/api/contents", "user/coach/trimkit/course", "hub/api/users"):
        assert school.ask(path, by="pupil-07")[0] == 403
    other = school.servers()[school.number("pupil-08")]
    assert school.run("pupil-08", "head", "-c", "1", f"/proc/{other}/environ").returncode == 0
    assert school.run("pupil-07", "head", "-c", "1", f"/proc/{other}/environ").returncode == 1


def test_the_coach_does_the_same_from_the_panel(marked: School) -> None:
    def run(kind: str, **more: str) -> dict[str, Any]:
        marked.own("coach", "trimkit/runs", "POST", {"kind": kind, **more})
        told: dict[str, Any] = {}

        def over() -> bool:
            told.update(marked.own("coach", "trimkit/runs")["run"])
            return told["state"] != "running"

        marked.until(over, f"{kind} did not end")
        return told

    def to_hand_out() -> dict[str, bool]:
        desk = marked.own("coach", "trimkit/course")
        assert desk["exchange"] is True
        return {one["folder"]: one["to_hand_out"] for one in desk["lessons"]}

    other, path = "04-low-power", "04-low-power/low-power.ipynb"
    assert (to_hand_out()[LESSON], to_hand_out()[other]) == (False, True)
    assert run("hand-out", lesson=other)["state"] == "good"
    assert to_hand_out()[other] is False
    sent = marked.own("pupil-08", "trimkit/hand-in", "POST", {"path": path, "make": True})
    assert sent["exchange"] is True
    collected = run("collect")
    assert collected["state"] == "good"
    assert collected["words"].splitlines() == [
        "1 collected from the exchange, 0 not.", f"pupil-08 {other}",
    ]  # fmt: skip
    kept = marked.there(COURSE / "marking" / crowd.CLASS_WORD_FILE)
    kept.unlink()  # the Hub's configuration has it, too
    assert run("mark", lesson=other)["state"] == "good"
    assert kept.read_text("utf-8").strip() == WORD
    assert "given back" in run("pages", lesson=other)["words"]
    told = marked.own("pupil-08", "trimkit/course")
    (one,) = (lesson for lesson in told["lessons"] if lesson["id"] == "04")
    assert one["state"] == "marked: 0 of 16 points"


def test_a_forged_hand_in_is_filed_under_who_made_it_and_a_link_is_not_followed(
    marked: School,
) -> None:
    submitted = marked.there(COURSE / "marking" / "submitted")
    before = (submitted / "pupil-07" / NOTEBOOK).read_bytes()
    forge = (
        f'cd {EXCHANGE}/inbound && mkdir "$1" && cd "$1" && '
        f"ln -s {COURSE}/instructor/source/{NOTEBOOK} . && echo mine > note.txt"
    )
    name = f"pupil-07+{LESSON}+2099-01-01 00:00:00.000000 UTC+forged"
    made = marked.run("pupil-08", "sh", "-euc", forge, "sh", name)
    assert made.returncode == 0, made.stderr
    marked.coach(f"{AS_COACH}nbgrader collect {LESSON} --update")
    assert (submitted / "pupil-07" / NOTEBOOK).read_bytes() == before
    assert [path.name for path in (submitted / "pupil-08" / LESSON).iterdir()] == ["note.txt"]


def test_an_account_that_is_no_pupils_and_no_coachs_is_told(school: School) -> None:
    start = [sys.executable, "-P", "-m", "trimkit.jupyter.hub"]
    told = school.run("nobody", "env", f"TRIMKIT_COURSE_ROOT={COURSE}", *start)
    assert told.returncode == 1
    assert "nobody cannot start" in told.stderr
    assert "pupil-07" in told.stderr
    assert "Traceback" not in told.stderr
