#!/usr/bin/env python3
"""Damages files and runs the program on each under a clock.

    cargo build --release
    python3 tests/bench/damage.py target/release/whomay [--files 5000] [--seed 1] [--limit 60]
        [--places FOLDER ...] [--also FOLDER]

The sound files are the PDFs and pictures of samples/ and tests/outside/data/, and those of the
folder named: small pictures in many formats take a second where a scanned letter takes ten. Each
damaged copy follows from --seed, its number and the sound files, so a failure can be repeated:
--only NUMBER. A panic
is a message with "panicked", a signal, or an exit code other than 0 and 2; a hang is a run over
the limit. Memory is the peak of the program and of the workers that it starts, as the system
counts it for each child (Linux). Nothing but Python 3.8 is needed."""
import argparse, collections, os, random, re, subprocess, sys, tempfile, threading, time

ROOT = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
PLACES = ["samples", "tests/outside/data"]
ENDINGS = (".pdf", ".png", ".jpg", ".jpeg", ".tif", ".tiff")
KEYS = [b"/Length", b"/Filter", b"/Type", b"/Kids", b"/Count", b"/Contents", b"/Resources", b"/Font",
        b"/Subtype", b"/Width", b"/Height", b"/MediaBox", b"/Root", b"/Size", b"/ToUnicode", b"/W",
        b"endstream", b"endobj", b"xref", b"trailer", b"obj", b"IHDR", b"IDAT", b"JFIF", b"Exif"]


def sound_files(places, also):
    found = []
    for place in places + ([os.path.abspath(also)] if also else []):
        for folder, _, names in os.walk(os.path.join(ROOT, place)):
            found += [os.path.join(folder, n) for n in names if n.lower().endswith(ENDINGS)]
    return sorted(found)


def truncated(b, r):
    return b[:r.randrange(len(b))]


def flipped(b, r):
    b = bytearray(b)
    for _ in range(r.choice([1, 5, 20, 100, 1000])):
        b[r.randrange(len(b))] ^= 1 << r.randrange(8)
    return bytes(b)


def noise(b, r):
    b = bytearray(b)
    for _ in range(r.choice([1, 5, 20, 100, 1000])):
        b[r.randrange(len(b))] = r.randrange(256)
    return bytes(b)


def zeroed(b, r):
    at, n = r.randrange(len(b)), r.choice([16, 200, 2000, 20000])
    return b[:at] + bytes(min(n, len(b) - at)) + b[at + n:]


def cut(b, r):
    at, n = r.randrange(len(b)), r.choice([1, 16, 300, 3000])
    return b[:at] + b[at + n:]


def doubled(b, r):
    at, n = r.randrange(len(b)), r.choice([16, 300, 3000, 30000])
    return b[:at] + b[at:at + n] + b[at:]


def keys(b, r):
    """Keys of the format renamed, exchanged or doubled."""
    held = [k for k in KEYS if k in b]
    if not held:
        return flipped(b, r)
    for _ in range(r.choice([1, 2, 5])):
        k = r.choice(held)
        places = [m.start() for m in re.finditer(re.escape(k), b)]
        if not places:
            continue
        at = r.choice(places)
        new = r.choice([k[:-1] + b"X", r.choice(KEYS), k + b" " + k, b""])
        b = b[:at] + new + b[at + len(k):]
    return b


def numbers(b, r):
    """Lengths, sizes, references: other digits, minus signs, far too large ones."""
    places = [m.span() for m in re.finditer(rb"\d+", b[:200000])]
    if not places:
        return flipped(b, r)
    for start, end in sorted(r.sample(places, min(len(places), r.choice([1, 3, 10, 40]))), reverse=True):
        new = r.choice([b"0", b"-1", b"4294967296", b"99999999", b"1", str(r.randrange(1000)).encode()])
        b = b[:start] + new + b[end:]
    return b


def mixed(b, r, others):
    """The head of one file and the tail of another."""
    with open(r.choice(others), "rb") as f:
        other = f.read()
    return b[:r.randrange(len(b))] + other[r.randrange(len(other)):]


WAYS = [truncated, flipped, noise, zeroed, cut, doubled, keys, numbers, mixed]


def damaged(files, seed, number):
    r = random.Random(f"{seed}/{number}")
    path = files[number % len(files)]
    with open(path, "rb") as f:
        b = f.read()
    way = WAYS[number // len(files) % len(WAYS)] if r.random() < 0.5 else r.choice(WAYS)
    b = way(b, r, files) if way is mixed else way(b, r)
    if r.random() < 0.2 and b:
        b = r.choice([flipped, cut, zeroed])(b, r)
    return path, way.__name__, b


def one(program, name, limit):
    """Exit code (None where it hangs), what it said, seconds, peak of memory in MiB."""
    begun = time.monotonic()
    with tempfile.TemporaryFile() as out, tempfile.TemporaryFile() as err:
        child = subprocess.Popen([program, "who", "--on", "2026-11-25", name], stdin=subprocess.DEVNULL,
                                 stdout=out, stderr=err, start_new_session=True)
        clock = threading.Timer(limit, child.kill)
        clock.start()
        _, status, used = os.wait4(child.pid, 0)
        clock.cancel()
        child.returncode = status
        took = time.monotonic() - begun
        err.seek(0)
        said = err.read().decode("utf-8", "replace")
    code = None if took >= limit else os.waitstatus_to_exitcode(status)
    return code, said, took, used.ru_maxrss / 1024


def main():
    words = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    words.add_argument("program")
    words.add_argument("--files", type=int, default=5000)
    words.add_argument("--seed", type=int, default=1)
    words.add_argument("--limit", type=float, default=60)
    words.add_argument("--memory", type=float, default=1024, help="MiB")
    words.add_argument("--jobs", type=int, default=2)
    words.add_argument("--only", type=int)
    words.add_argument("--also", metavar="FOLDER")
    words.add_argument("--places", nargs="+", default=PLACES, help="instead of " + ", ".join(PLACES))
    words = words.parse_args()
    files = sound_files(words.places, words.also)
    todo = iter([words.only] if words.only is not None else range(words.files))
    lock, count, bad = threading.Lock(), collections.Counter(), []
    endings = collections.Counter()
    slowest, largest = (0, None), (0, None)

    def work(folder):
        nonlocal slowest, largest
        while True:
            with lock:
                number = next(todo, None)
            if number is None:
                return
            path, way, data = damaged(files, words.seed, number)
            name = os.path.join(folder, "damaged" + os.path.splitext(path)[1])
            with open(name, "wb") as f:
                f.write(data)
            code, said, took, memory = one(words.program, name, words.limit)
            kind = {0: "text", 2: "message", None: "hang"}.get(code, "breakdown")
            if "panicked" in said:
                kind = "panic"
            elif code == 2 and not said.strip():
                kind = "silent"
            label = (number, os.path.relpath(path, ROOT), way)
            with lock:
                count[kind] += 1
                endings[os.path.splitext(path)[1]] += 1
                slowest = max(slowest, (took, label))
                largest = max(largest, (memory, label))
                if kind not in ("text", "message") or memory >= words.memory:
                    bad.append((kind, round(memory), label, said.strip()[-300:]))
                    print("BAD", *bad[-1], flush=True)

    with tempfile.TemporaryDirectory() as a:
        folders = [os.path.join(a, str(n)) for n in range(words.jobs)]
        for f in folders:
            os.mkdir(f)
        threads = [threading.Thread(target=work, args=(f,)) for f in folders]
        for t in threads:
            t.start()
        for t in threads:
            t.join()
    print(f"seed {words.seed}: {sum(count.values())} damaged copies of {len(files)} files: {dict(count)}")
    print(f"slowest {slowest[0]:.2f} s: {slowest[1]}")
    print(f"most memory {largest[0]:.0f} MiB: {largest[1]}")
    print("of each kind of file:", dict(sorted(endings.items())))
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
