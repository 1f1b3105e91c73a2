#!/usr/bin/env python3
"""Random command lines: each must end by itself, and say in one sentence what does not fit.

    command_lines.py PULSEWRIGHT [--lines N] [--seed S] [--limits]

Makes N command lines from the commands, flags and knobs that the program itself names, with values
that fit, nearly fit and do not fit at all, and 30 tapes of absurd size. Ends with 1 where one of
them was ended by a signal, said something other than a sentence, or, with --limits, took more than
2 s or 1 GB of resident memory. `listen`, `play` and `view` are left out: they need a sound card or
a display.
"""
import argparse
import os
import random
import re
import subprocess
import sys
import tempfile
import threading
import time

MOST_S = 2.0
MOST_BYTES = 1e9
COMMANDS = ["read", "picture", "traces", "tape", "score", "bench", "knobs", "parts", "completions", "help"]
JARGON = ["panicked", "os error", "invalid digit", "..=", "malformed", "riff", "tip:", "missing field"]
FILES = ["log.wav", "log.wav", "truth.json", "mine.toml", "noise.bin", "empty", "none", "folder", "-", "cut.flac"]
VALUES = ["0", "1", "-1", "7", "300", "1e9", "-1e18", "1e999", "nan", "inf", "", " ", "x", "589us", "1.1ms", "4k7",
          "44.1k", "20dB", "-6dB", "1:30", "0:00.5", "99:99", "5%", "off", "even", "sum", "mark", "random", "json",
          "1600x1000", "0x0280", "0280", "$FF", "53 41", "4294967296", "18446744073709551616", "é", "\u202e", "a\nb",
          "\x1b[2J", "--", "-o", "source=4,long", "characters", "1200bd", "bash"]
ABSURD = ["1e9", "1e18", "1e300", "4294967295", "18446744073709551615", "1e6", "99999999:00:00"]


def prepare(program, folder):
    """The files that command lines name."""
    run = lambda *args: subprocess.run([program, *args], cwd=folder, check=True, capture_output=True)
    run("tape", "--text", "SALTMERE 06:40 3.2 m", "--tape-leader", "0.3", "--tape-trailer", "0.1",
        "--truth", "truth.json", "--out", "log.wav")
    bench = run("bench", "--short-width", "600us").stdout
    for name, content in [("mine.toml", bench), ("noise.bin", random.Random(1).randbytes(5000)), ("empty", b""),
                          ("cut.flac", b"fLaC\0\0\0\x22" + bytes(40))]:
        with open(os.path.join(folder, name), "wb") as file:
            file.write(content)
    os.mkdir(os.path.join(folder, "folder"))


def flags(program):
    """The flags of each command, as its help names them."""
    found = {}
    for command in COMMANDS:
        help_text = subprocess.run([program, command, "--help"], capture_output=True, text=True, check=True).stdout
        found[command] = re.findall(r"^\s+(?:-\w, )?(--[a-z][a-z-]*)", help_text, re.M)
    return found


def misspelt(rng, word):
    at = rng.randrange(len(word))
    return word[:at] + rng.choice(["", "x", word[at] * 2]) + word[at + 1:]


def line(rng, flags):
    """One random command line."""
    command = rng.choice(COMMANDS)
    words = []
    if command in ("read", "picture", "traces", "score"):
        words += rng.choices(FILES, k=rng.choice([0, 1, 1, 1, 2]))
    if command in ("picture", "traces", "tape") and rng.random() < 0.8:
        words += ["--out", rng.choice(["o.svg", "o.png", "o.csv", "o.vcd", "o.wav", "-", *FILES])]
    if command == "tape" and rng.random() < 0.7:
        words += rng.choice([["--text", "TIDE"], ["--hex", "53 41"], ["--pattern", rng.choice(["mark", "random", "all-bytes", "run"])]])
    if command == "score" and rng.random() < 0.8:
        words += ["--truth", rng.choice(["truth.json", *FILES])]
    for _ in range(rng.choice([0, 0, 1, 1, 2, 4])):
        names = flags[command if rng.random() < 0.9 else rng.choice(COMMANDS)]
        flag = rng.choice(names)
        words.append(misspelt(rng, flag) if rng.random() < 0.1 else flag)
        if rng.random() < 0.85:
            words.append(rng.choice(VALUES + FILES[:3]))
    if rng.random() < 0.1:
        rng.shuffle(words)
    at = rng.randrange(len(words) + 1) if rng.random() < 0.1 else 0
    words.insert(at, misspelt(rng, command) if rng.random() < 0.03 else command)
    return [word.replace("\0", "") for word in words]


def absurd(rng):
    """A tape of absurd size, which must be refused."""
    pattern = rng.choice(["all-bytes", "random", "run", "mark", "space", "alternating-bits"])
    kind = rng.choice(["--for", "--for", "--count"])
    words = ["tape", "--pattern", pattern, kind, rng.choice(ABSURD), "--out", "o.wav"]
    return words + rng.choice([[], ["--wear-speed", "-50"], ["--tape-rate", "10"], ["--tape-sample-rate", "384k"]])


def run(program, words, folder):
    """Code, seconds, resident bytes and what was said."""
    began = time.monotonic()
    child = subprocess.Popen([program, *words], cwd=folder, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL,
                             stderr=subprocess.PIPE, env={**os.environ, "DISPLAY": "", "WAYLAND_DISPLAY": ""})
    # What never ends is a finding, not the end of the search.
    guard = threading.Timer(60, child.kill)
    guard.start()
    said = child.stderr.read().decode("utf-8", "replace")
    _, status, usage = os.wait4(child.pid, 0)
    guard.cancel()
    child.returncode = os.waitstatus_to_exitcode(status)
    return child.returncode, time.monotonic() - began, usage.ru_maxrss * 1024, said


def complaints(code, seconds, resident, said, limits):
    """What is wrong with the way in which a run ended."""
    lines = said.rstrip("\n").split("\n")
    if code not in (0, 1, 2):
        yield f"ended with {code}"
    if code in (1, 2) and not (lines[-1].startswith("pulsewright: ") and lines[-1].endswith((".", "?"))):
        yield f"no sentence: {lines[-1]!r}"
    for word in JARGON:
        if word in said:
            yield f"says {word!r}: {said!r}"
    if any(ord(c) < 32 and c != "\n" or c in "\x7f\u202e" for c in said):
        yield f"raw control character: {said!r}"
    if limits and seconds > MOST_S:
        yield f"took {seconds:.2f} s"
    if limits and resident > MOST_BYTES:
        yield f"took {resident / 1e6:.0f} MB"


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("program", type=os.path.abspath)
    parser.add_argument("--lines", type=int, default=10_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--limits", action="store_true")
    args = parser.parse_args()
    rng = random.Random(args.seed)
    bad, codes, slowest, largest = 0, {}, (0, []), (0, [])
    with tempfile.TemporaryDirectory() as folder:
        prepare(args.program, folder)
        known = flags(args.program)
        kept = set(os.listdir(folder))
        contents = {name: open(os.path.join(folder, name), "rb").read() for name in kept - {"folder"}}
        absurd_lines = [absurd(rng) for _ in range(30)]
        for number in range(args.lines + 30):
            is_absurd = number >= args.lines
            words = absurd_lines[number - args.lines] if is_absurd else line(rng, known)
            code, seconds, resident, said = run(args.program, words, folder)
            codes[code] = codes.get(code, 0) + 1
            slowest, largest = max(slowest, (seconds, words)), max(largest, (resident, words))
            wrong = list(complaints(code, seconds, resident, said, args.limits))
            if is_absurd and code == 0:
                wrong.append("made a tape of absurd size")
            for complaint in wrong:
                print(f"{words}: {complaint}")
            bad += bool(wrong)
            for name in set(os.listdir(folder)) - kept:
                path = os.path.join(folder, name)
                subprocess.run(["rm", "-rf", "--", path], check=True)
            # With --replace a line may write over what the next ones read.
            if "--replace" in words:
                for name, content in contents.items():
                    with open(os.path.join(folder, name), "wb") as file:
                        file.write(content)
    print(f"{args.lines} command lines and 30 absurd tapes: {bad} bad; ended with " +
          ", ".join(f"{code}: {count}" for code, count in sorted(codes.items())))
    print(f"slowest {slowest[0]:.2f} s: {slowest[1]}")
    print(f"largest {largest[0] / 1e6:.0f} MB: {largest[1]}")
    sys.exit(1 if bad else 0)


if __name__ == "__main__":
    main()
