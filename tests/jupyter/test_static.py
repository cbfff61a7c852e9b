"""What JupyterLab loads: complete, of one version, and asking nothing of the outside."""

from __future__ import annotations

import json
import re
import tomllib

from trimkit import places

STATIC = places.package_folder() / "jupyter" / "static"
PROJECT = places.package_folder().parent


def test_the_extension_has_the_version_of_the_package() -> None:
    about = json.loads((STATIC / "package.json").read_text("utf-8"))
    project = tomllib.loads((PROJECT / "pyproject.toml").read_text("utf-8"))["project"]
    assert (about["name"], about["version"]) == (project["name"], project["version"])
    assert (STATIC / about["jupyterlab"]["_build"]["load"]).is_file()


def test_every_module_that_is_named_is_there_and_none_is_idle() -> None:
    scripts = {path.name: path.read_text("utf-8") for path in STATIC.glob("*.js")}
    named = re.compile(r"""['"](?:\./)?([\w.]+\.(?:js|css))['"]""")
    wanted = {name for text in scripts.values() for name in named.findall(text)}
    there = {path.name for path in STATIC.iterdir() if path.suffix in {".js", ".css"}}
    assert wanted == there - {"container.js"}


def test_no_address_of_the_outside() -> None:
    for path in STATIC.iterdir():
        text = path.read_text("utf-8").replace("http://www.w3.org/2000/svg", "")
        assert "://" not in text, path.name
