"""Settings of the test run: quick password hashing, and a database file so that a second process can join in."""

import atexit
import os
import shutil
import tempfile
from pathlib import Path

# Outside of hilum.settings on purpose: that package reads HILUM_DATA the moment anything in it is imported.
if not os.environ.get("HILUM_DATA"):
    # Workers and second processes inherit the folder by the environment; who made it takes it away.
    os.environ["HILUM_DATA"] = tempfile.mkdtemp(prefix="hilum-test-")
    atexit.register(shutil.rmtree, os.environ["HILUM_DATA"], ignore_errors=True)

os.environ.setdefault("HILUM_API_RATE", "0")  # tests send more than any program; that it counts has a test of its own

from hilum.settings import *  # noqa: F403 - the site's settings are read after HILUM_DATA is set
from hilum.settings import DATA_DIR, DATABASES, STATIC_ROOT

HILUM_PLUGINS_RAISE = True
STATIC_ROOT.mkdir(exist_ok=True)
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    # Without a name the test database is in memory: no write-ahead log and no second process.
    DATABASES["default"]["TEST"] = {"NAME": str(Path(DATA_DIR) / "test.sqlite3")}
