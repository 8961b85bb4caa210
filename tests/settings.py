"""The settings of the tests: the shop's own, in a folder of their own, a little quicker."""

import atexit
import os
import shutil
import tempfile
from pathlib import Path

from shop import environment

# Nothing of the machine's own settings gets in but the database to test on.
for name in environment.VARIABLES.keys() - {"DATABASE_URL"}:
    os.environ.pop(name, None)
FOLDER = tempfile.mkdtemp(prefix="bolebook-tests-")
atexit.register(shutil.rmtree, FOLDER, ignore_errors=True)
os.environ["BOLEBOOK_DATA"] = FOLDER

from shop.settings import *  # noqa: E402, F403 (after the folder is chosen)

(Path(FOLDER) / "static").mkdir()
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
# Pages show plain names, so that no test needs the files gathered first.
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}
