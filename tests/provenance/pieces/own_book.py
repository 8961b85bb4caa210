"""A book of a test's own, for its processes: SQLite in a folder, or a PostgreSQL database."""

import os
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import urlsplit, urlunsplit

ROOT = Path(__file__).resolve().parents[3]
IS_POSTGRES = os.environ.get("DATABASE_URL", "").startswith("postgres")

Environment = dict[str, str]


def run(env: Environment, *arguments: str) -> str:
    """Run Python with the environment of the test's own book; return what it printed."""
    done = subprocess.run(
        [sys.executable, *arguments], cwd=ROOT, env=env, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr[-2000:]
    return done.stdout


@contextmanager
def own_book(folder: Path) -> Iterator[Environment]:
    """An empty book of the test's own: its environment."""
    env = {
        **os.environ,
        "BOLEBOOK_DATA": str(folder / "data"),
        "DJANGO_SETTINGS_MODULE": "shop.settings",
        "PYTHONPATH": str(ROOT),
    }
    (folder / "data").mkdir()
    name = f"numbers_{os.getpid()}_{time.time_ns()}"
    if IS_POSTGRES:
        administer(f'CREATE DATABASE "{name}"')
        env["DATABASE_URL"] = urlunsplit(urlsplit(env["DATABASE_URL"])._replace(path=f"/{name}"))
    run(env, "manage.py", "migrate", "--verbosity", "0")
    yield env
    if IS_POSTGRES:
        administer(f'DROP DATABASE "{name}" WITH (FORCE)')


def administer(statement: str) -> None:
    """Run one statement on the PostgreSQL server itself."""
    import psycopg

    with psycopg.connect(os.environ["DATABASE_URL"], autocommit=True) as connection:
        connection.execute(statement)
