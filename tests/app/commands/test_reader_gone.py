import os
import subprocess
import sys


def test_that_a_reader_who_stops_reading_sees_no_traceback(tmp_path):
    reading, writing = os.pipe()
    os.close(reading)
    try:
        done = subprocess.run(
            [sys.executable, "-m", "app", "materials", "--json"],
            stdout=writing,
            stderr=subprocess.PIPE,
            env={**os.environ, "XDG_DATA_HOME": str(tmp_path)},
            check=False,
        )
    finally:
        os.close(writing)
    assert done.returncode == 0
    assert done.stderr == b""
