"""The benchmarks still run; what they measure on a busy machine is asserted nowhere."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]


@pytest.mark.processes
@pytest.mark.sqlite
def test_every_comparison_is_measured() -> None:
    command = [sys.executable, "-m", "tests.benchmarks"]
    sizes = ["--small", "75", "--large", "150", "--repeats", "1"]
    # Without what measures coverage: it would be the benchmark's greatest part.
    unwanted = ("DJANGO_SETTINGS_MODULE", "COVERAGE_PROCESS")
    env = {k: v for k, v in os.environ.items() if not k.startswith(unwanted)}
    done = subprocess.run(
        [*command, *sizes], cwd=ROOT, env=env, capture_output=True, text=True, check=False
    )
    assert done.returncode in (0, 1), done.stderr[-2000:]
    sizes_said, head, *rows = done.stdout.splitlines()
    assert sizes_said == "150 pieces in the large book, 75 in the small one"
    assert head.split() == ["what", "ours", "reference", "ratio", "goal", "met"]
    assert len(rows) == 21
    assert all(row.endswith(("  yes", "  NO")) for row in rows)
    assert (done.returncode == 1) == any(row.endswith("NO") for row in rows)
