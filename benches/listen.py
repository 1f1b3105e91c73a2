"""Times `pulsewright listen` on a virtual sound card, in real time.

    python3 benches/listen.py target/release/pulsewright latency
    python3 benches/listen.py target/release/pulsewright screen
    python3 benches/listen.py target/release/pulsewright endure [MINUTES]

`latency` plays a tape of single characters and prints how long behind the end of a character's last
stop bit it stands on standard output. When that end was played is taken from a second recorder,
parec, which asks for 1 ms of latency: first it does so throughout, which makes the device give over
small blocks; then only to hear the tape begin. The virtual card gives a block over when its first
sample is due, a sound card when its last is there: with a sound card, add the 20 ms of a block to
the second line.

`screen` does the same for the window, 1280 x 720 points on a virtual screen: how long behind the
end of its last stop bit a character's box stands in the memory of that screen, which is looked at
every 2 ms. A real screen shows what is there up to one frame later (17 ms at 60 Hz).

`endure` listens for MINUTES (10 unless given) while a tape is played again and again, and prints
resident memory from the second minute on, gaps, whether every character came, and how many samples
of the file that was kept differ from those that were played.

Needs pulseaudio, pulseaudio-utils and numpy; `screen` also xvfb and xdotool.
"""
import json
import os
import signal
import subprocess
import sys
import tempfile
import threading
import time
import wave

import numpy as np

RATE_HZ, BIT_S, BITS = 48000, 1 / 300, 11
TEXT = "SALTMERE 06:40 3.2 M. "


class Card:
    """A PulseAudio server of our own: what is played to `tape` is heard by the default input."""

    def __init__(self, folder):
        for name in ("home", "state", "pulse"):
            os.mkdir(os.path.join(folder, name))
        sink = "module-null-sink norewinds=1 rate=48000 channels=2 format=s16le sink_name"
        script = os.path.join(folder, "card.pa")
        with open(script, "w") as f:
            f.write(
                f"load-module module-native-protocol-unix socket={folder}/pulse/native"
                f" auth-anonymous=1\nload-module {sink}=tape\n"
                "load-module module-remap-source source_name=deck master=tape.monitor\n"
                "set-default-source deck\n"
            )
        self.env = {k: v for k, v in os.environ.items() if k != "DBUS_SESSION_BUS_ADDRESS"} | {
            "XDG_RUNTIME_DIR": folder,
            "PULSE_RUNTIME_PATH": f"{folder}/pulse",
            "PULSE_STATE_PATH": f"{folder}/state",
            "PULSE_SERVER": f"unix:{folder}/pulse/native",
            "PULSE_COOKIE": f"{folder}/cookie",
        }
        options = "--daemonize=no --exit-idle-time=-1 --disable-shm=yes --use-pid-file=no"
        options += " --high-priority=no --realtime=no"
        self.server = subprocess.Popen(
            ["pulseaudio", "-n", "-F", script, *options.split()],
            env=self.env | {"HOME": f"{folder}/home"},
            stderr=subprocess.DEVNULL,
        )
        for _ in range(200):
            if subprocess.run(["pactl", "info"], env=self.env, capture_output=True).returncode == 0:
                return
            time.sleep(0.03)
        sys.exit("The sound server does not start.")

    def start(self, *args, **more):
        return subprocess.Popen(args, env=self.env, **more)


def listen(card, program, folder, **more):
    out = os.path.join(folder, "heard.wav")
    listening = card.start(program, "listen", "--out", out, "--bytes", "-", bufsize=0,
                           stdout=subprocess.PIPE, stderr=subprocess.PIPE, **more)
    listening.stderr.readline()
    return listening


def stamped(stream, size, into):
    """Reads a stream on a thread, with the time of each piece."""
    def read():
        while piece := os.read(stream.fileno(), size):
            into.append((time.monotonic(), piece))
    thread = threading.Thread(target=read, daemon=True)
    thread.start()
    return thread


def make_tape(program, folder, text, gap):
    """The tape's file, and when each character's last stop bit ends on it."""
    tape = os.path.join(folder, "tape.wav")
    subprocess.run([program, "tape", "--text", text, "--tape-gap", gap, "--tape-leader", "2s",
                    "--out", tape], check=True)
    reading = subprocess.run([program, "read", "--json", tape], capture_output=True, check=True)
    characters = json.loads(reading.stdout)["characters"]
    return tape, [c["at_s"] + BITS * BIT_S for c in characters]


def latency(card, program, folder):
    # A gap that is no whole number of blocks, so that characters end anywhere in one.
    tape, ends_s = make_tape(program, folder, TEXT * 8, "61ms")
    for second in (True, False):
        # A capture writes over nothing, neither a recording nor a report.
        with tempfile.TemporaryDirectory(dir=folder) as kept:
            listening = listen(card, program, kept)
            printed = []
            stamped(listening.stdout, 1 << 10, printed)
            begin_s = play(card, tape, second)
            listening.send_signal(signal.SIGINT)
            listening.wait()
        times_s = [t for t, piece in printed for _ in piece]
        tell("character on standard output", second, times_s, ends_s, begin_s)


def screen(card, program, folder):
    # So far apart that each has left the window when the next one comes.
    tape, ends_s = make_tape(program, folder, TEXT, "661ms")
    for second in (True, False):
        with Screen(card, program, folder) as window:
            begin_s = play(card, tape, second)
        tell("character on the screen", second, window.appeared_s, ends_s, begin_s)


def play(card, tape, keep_second):
    """Plays the tape, and gives when its first sample was due. Where `keep_second` is false, the
    second recorder stops once it has heard the tape begin, so that it does not make the device
    give over small blocks."""
    second = card.start("parec", "--device=tape.monitor", "--latency-msec=1", "--format=s16le",
                        f"--rate={RATE_HZ}", "--channels=1", stdout=subprocess.PIPE)
    heard = []
    hearing = stamped(second.stdout, 1 << 16, heard)
    time.sleep(1)
    player = card.start("paplay", "--device=tape", tape)
    if not keep_second:
        time.sleep(1.5)
        second.terminate()
    player.wait()
    time.sleep(1)
    second.terminate()
    second.wait()
    hearing.join()
    samples = np.frombuffer(b"".join(p for _, p in heard), dtype="<i2")
    ends = np.cumsum([len(p) // 2 for _, p in heard])
    arrivals_s = np.array([t for t, _ in heard])
    first = int(np.argmax(samples != 0))
    # A sample can only come late: the least lateness is that of the recorder itself.
    return np.min(arrivals_s - ends / RATE_HZ) + first / RATE_HZ


def tell(what, keep_second, times_s, ends_s, begin_s):
    if len(times_s) != len(ends_s):
        print(f"{len(times_s)} characters of {len(ends_s)} came")
        return
    late_ms = [1e3 * (t - begin_s - end_s) for t, end_s in zip(times_s, ends_s)]
    blocks = "small blocks" if keep_second else "blocks as asked for"
    print(f"{blocks}: {what} behind its last stop bit: median {np.median(late_ms):.1f} ms, least"
          f" {min(late_ms):.1f} ms, 95 of 100 within {np.percentile(late_ms, 95):.1f} ms, greatest"
          f" {max(late_ms):.1f} ms")


class Screen:
    """The window, listening, on a virtual screen whose memory is a file: when characters appear
    in it."""

    WIDTH, HEIGHT = 1280, 720

    def __init__(self, card, program, folder):
        home = tempfile.mkdtemp(dir=folder)
        size = f"{self.WIDTH}x{self.HEIGHT}x24"
        self.server = subprocess.Popen(
            ["Xvfb", "-displayfd", "1", "-screen", "0", size, "-fbdir", home],
            stdout=subprocess.PIPE, stderr=subprocess.DEVNULL)
        number = self.server.stdout.readline().decode().strip()
        env = card.env | {"DISPLAY": f":{number}", "XDG_CONFIG_HOME": home}
        env.pop("WAYLAND_DISPLAY", None)
        self.window = subprocess.Popen([program, "view"], env=env, cwd=home,
                                       stderr=subprocess.DEVNULL)

        def xdotool(*words):
            done = subprocess.run(["xdotool", *words], env=env, capture_output=True, check=True)
            return done.stdout.decode().split()

        window = xdotool("search", "--sync", "--onlyvisible", "--name", "Pulsewright")[-1]
        xdotool("windowsize", window, str(self.WIDTH), str(self.HEIGHT))
        xdotool("windowmove", window, "0", "0")
        xdotool("windowfocus", window)
        # The pointer is drawn into the same memory.
        xdotool("mousemove", str(self.WIDTH // 2), "0")
        time.sleep(3)
        for key in ("ctrl+l", "Return"):
            xdotool("key", key)
            time.sleep(2)
        # X window dump: sizes in 32 bits, the highest byte first; then colours, then the pixels.
        dump = np.memmap(os.path.join(home, "Xvfb_screen0"), dtype="u1", mode="r")
        head = dump[:100].view(">u4")
        start, row = int(head[0] + 12 * head[19]), int(head[12])
        pixels = dump[start : start + row * self.HEIGHT].view("<u4")
        self.pixels = pixels.reshape(self.HEIGHT, row // 4)
        self.appeared_s, self.stop = [], False
        self.thread = threading.Thread(target=self.watch, daemon=True)

    def has_character(self):
        """Whether there is white, the ground of the characters' boxes, where those lie."""
        h, w = self.HEIGHT, self.WIDTH
        lane = self.pixels[h * 6 // 10 : h * 9 // 10, w * 15 // 100 : w * 70 // 100]
        return np.any(lane & 0xFFFFFF == 0xFFFFFF)

    def watch(self):
        seen_s = 0.0
        while not self.stop:
            if self.has_character():
                now_s = time.monotonic()
                # A picture that is being copied may be without one for a moment.
                if now_s - seen_s > 0.15:
                    self.appeared_s.append(now_s)
                seen_s = now_s
            time.sleep(0.002)

    def __enter__(self):
        self.thread.start()
        return self

    def __exit__(self, *_):
        self.stop = True
        self.thread.join()
        for process in (self.window, self.server):
            process.terminate()
            process.wait()


def resident_mib(pid):
    with open(f"/proc/{pid}/status") as f:
        line = next(line for line in f if line.startswith("VmRSS"))
    return int(line.split()[1]) / 1024


def endure(card, program, folder, minutes):
    tape = os.path.join(folder, "tape.wav")
    text = TEXT * 40
    subprocess.run([program, "tape", "--text", text, "--tape-leader", "1s", "--out", tape], check=True)
    listening = listen(card, program, folder)
    printed = []
    stamped(listening.stdout, 1 << 12, printed)
    begin_s, rounds, resident = time.monotonic(), 0, []
    while time.monotonic() < begin_s + 60 * minutes:
        card.start("paplay", "--device=tape", tape).wait()
        rounds += 1
        if time.monotonic() > begin_s + 120:
            resident.append(resident_mib(listening.pid))
    time.sleep(1)
    listening.send_signal(signal.SIGINT)
    said = listening.stderr.read().decode()
    listening.wait()
    read = b"".join(p for _, p in printed).decode("latin-1")
    print(said.strip())
    print("resident after each round, in MiB: " + " ".join(f"{mib:.1f}" for mib in resident))
    print(f"{rounds} rounds, {len(read)} characters, every one right: {read == text * rounds}")
    differing(samples_of(os.path.join(folder, "heard.wav")), samples_of(tape)[:, 0], rounds)


def samples_of(path):
    """The samples of a WAV file of 16 bits, a column for each channel."""
    with wave.open(path) as f:
        frames = f.readframes(f.getnframes())
        return np.frombuffer(frames, dtype="<i2").reshape(-1, f.getnchannels())


def differing(heard, played, rounds):
    """Holds the file against the tape, played again and again with any silence between."""
    played = np.trim_zeros(played)
    sounding = np.flatnonzero(heard.any(axis=1))
    begins, at = [], 0
    while at < len(sounding):
        begins.append(sounding[at])
        at = np.searchsorted(sounding, begins[-1] + len(played))
    wrong = sum(
        len(played) * heard.shape[1] - np.count_nonzero(heard[b : b + len(played)] == played[:, None])
        for b in begins if b + len(played) <= len(heard)
    )
    print(f"the file holds {len(heard)} frames of {heard.shape[1]} channels: {len(begins)} rounds of"
          f" {rounds}, in which {wrong} samples of {len(begins) * len(played) * heard.shape[1]} differ")


def main():
    program, what = os.path.abspath(sys.argv[1]), sys.argv[2]
    with tempfile.TemporaryDirectory() as folder:
        card = Card(folder)
        try:
            if what in ("latency", "screen"):
                {"latency": latency, "screen": screen}[what](card, program, folder)
            else:
                endure(card, program, folder, float(sys.argv[3]) if len(sys.argv) > 3 else 10)
        finally:
            card.server.terminate()
            card.server.wait()


main()
