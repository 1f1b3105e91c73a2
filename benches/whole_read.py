"""Times `pulsewright read` on a long file against the same chain in numpy and scipy.

    python3 benches/whole_read.py target/release/pulsewright [MINUTES]

Makes a tape of MINUTES (60 unless given) with the program's own tape maker in a temporary folder,
reads it with both (medians of three), compares the bytes, and prints both times, their ratio and
the program's greatest resident memory. numpy's time leaves out starting Python and importing it.
"""
import os
import subprocess
import sys
import tempfile
import time

import numpy as np
from scipy.io import wavfile

sys.path.insert(0, os.path.join(os.path.dirname(__file__), "..", "tests", "outside"))
import reference  # noqa: E402

RUNS = 3
# The program's defaults.
HYSTERESIS_V, SHORT_S, LONG_S, RATE_BD = 0.05, 589e-6, 1.1e-3, 300.0


def timed(work):
    start = time.perf_counter()
    result = work()
    return time.perf_counter() - start, result


def read_with_numpy(path):
    rate_hz, samples = wavfile.read(path)
    samples = samples / 32768.0
    end_s = len(samples) / rate_hz
    edges_s = reference.crossings(samples, rate_hz, HYSTERESIS_V / 2, -HYSTERESIS_V / 2)
    _, time_outs_s = reference.one_shot(edges_s[::2], SHORT_S, end_s)
    falls_s, rises_s = reference.one_shot(time_outs_s, LONG_S, end_s)
    return reference.characters(falls_s, rises_s, RATE_BD)


def read_with_program(program, path, out):
    """Greatest resident memory in bytes."""
    command = [program, "read", path, "--bytes", out, "--replace"]
    quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
    with subprocess.Popen(command, **quiet) as process:
        _, status, usage = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode != 0:
        sys.exit(f"{' '.join(command)} failed")
    return usage.ru_maxrss * 1024


def main():
    program = os.path.abspath(sys.argv[1])
    minutes = float(sys.argv[2]) if len(sys.argv) > 2 else 60.0
    with tempfile.TemporaryDirectory() as folder:
        tape, text, out = (os.path.join(folder, name) for name in ("t.wav", "t.bin", "out.bin"))
        count = int(minutes * 60 * RATE_BD / 11)
        sent = np.random.default_rng(1).integers(0x20, 0x60, count, dtype=np.uint8).tobytes()
        with open(text, "wb") as file:
            file.write(sent)
        subprocess.run([program, "tape", "--file", text, "--out", tape], check=True)
        samples = (os.path.getsize(tape) - 44) // 2

        # The program first: a process counts the memory of the one that started it as its own,
        # and this one is small only until numpy holds the tape.
        ours = [timed(lambda: read_with_program(program, tape, out)) for _ in range(RUNS)]
        numpys = [timed(lambda: read_with_numpy(tape)) for _ in range(RUNS)]
        with open(out, "rb") as file:
            assert file.read() == sent, "the program read other bytes"
        assert all(values == sent for _, values in numpys), "numpy read other bytes"
        our_s, numpy_s = (np.median([seconds for seconds, _ in runs]) for runs in (ours, numpys))
        memory = max(memory for _, memory in ours)
        print(f"{samples} samples, {count} characters")
        print(f"pulsewright read  {our_s:8.2f} s, at most {memory / samples:.2f} bytes a sample")
        print(f"numpy and scipy   {numpy_s:8.2f} s, {numpy_s / our_s:.1f} times as long")


main()
