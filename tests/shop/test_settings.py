"""The settings hold what the design promises of cookies, checks and policies."""

from pathlib import Path

import pytest
from django.conf import settings
from django.core.management import call_command

from shop import environment

ROOT = Path(environment.__file__).parent.parent


def test_the_deployment_checks_pass_with_these_four_silenced(db: None) -> None:
    call_command("check", deploy=True, fail_level="WARNING")
    assert settings.SILENCED_SYSTEM_CHECKS == [
        "security.W004",
        "security.W008",
        "security.W012",
        "security.W016",
    ]


def test_no_migration_is_missing(db: None) -> None:
    call_command("makemigrations", check=True, dry_run=True, verbosity=0)


def test_the_policy_allows_nothing_inline_and_no_other_host() -> None:
    directives: dict[str, list[str]] = settings.CONTENT_SECURITY_POLICY["DIRECTIVES"]
    assert directives["default-src"] == ["'none'"]
    for name in ("script-src", "style-src", "font-src", "connect-src", "form-action"):
        assert directives[name] == ["'self'"], name
    for name in ("base-uri", "frame-ancestors", "object-src"):
        assert directives[name] == ["'none'"], name
    assert directives["img-src"] == ["'self'", "data:", "blob:"]


@pytest.mark.parametrize("name", sorted(environment.VARIABLES))
def test_the_readme_lists_each_variable_with_its_default(name: str) -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    rows = [line for line in readme.splitlines() if line.startswith(f"| `{name}` |")]
    assert len(rows) == 1
    default = environment.VARIABLES[name]
    told = rows[0].split("|")[2].strip()
    assert told == f"`{default}`" if default else told and not told.startswith("`")


def test_the_readme_lists_no_variable_that_is_not_read() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    listed = {line.split("`")[1] for line in readme.splitlines() if line.startswith("| `BOLEBOOK_")}
    assert listed <= set(environment.VARIABLES)
