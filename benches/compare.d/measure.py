"""Runs commands in turn and keeps what they took."""
import hashlib, os, statistics, subprocess, time
from dataclasses import dataclass, field

TICK = os.sysconf("SC_CLK_TCK")


@dataclass
class Tool:
    """A command of a case; `out` is the file that takes its standard output, `leaves` what it writes besides.

    No figure may stand for work that was not done: `lines` is how many lines it must write, headings included; those of one case that
    have the same mark in `alike` must write the same bytes."""
    command: list
    out: str = os.devnull
    leaves: list = field(default_factory=list)
    env: dict = field(default_factory=dict)
    lines: int | None = None
    alike: str = ""
    written: int = 0  # bytes, filled in by the first run


@dataclass
class Taken:
    """What one run took: seconds, seconds of processor time, MiB at its peak, and what share of one core others had meanwhile."""
    wall: float
    cpu: float
    peak: float
    others: float


class Failed(Exception):
    pass


def busy():
    f = [int(x) for x in open("/proc/stat").readline().split()[1:]]
    return (sum(f[:8]) - f[3] - f[4]) / TICK


def once(floor, tool, folder):
    report = f"{folder}/taken"
    before, start = busy(), time.monotonic()
    with open(tool.out, "wb") as out:
        subprocess.run([floor, "measure", report, *tool.command], env={**os.environ, **tool.env}, stdin=subprocess.DEVNULL, stdout=out,
                       stderr=subprocess.DEVNULL, cwd=folder, check=True)
    passed, used = time.monotonic() - start, busy() - before
    with open(report) as f:
        code, wall, cpu, peak = f.read().split()
    if code != "0":
        raise Failed(f"exit value {code}: {' '.join(tool.command)}")
    # 0.03 s: the kernel's clock ticks are coarse
    return Taken(float(wall), float(cpu), int(peak) / 1024, max(0.0, used - float(cpu) - 0.03) / passed)


def files_of(tool):
    return [*([tool.out] if tool.out != os.devnull else []), *tool.leaves]


def lines_in(path):
    n = 0
    with open(path, "rb") as f:
        while chunk := f.read(1 << 22):
            n += chunk.count(b"\n")
    return n


def check(name, tool, met):
    """Holds what a run wrote against what it must write; `met` keeps what those alike wrote."""
    tool.written = sum(os.path.getsize(p) for p in files_of(tool))
    if tool.lines is not None and (got := sum(lines_in(p) for p in files_of(tool))) != tool.lines:
        raise Failed(f"{name} wrote {got} lines and not {tool.lines}")
    if tool.alike:
        total = hashlib.sha256()
        for path in files_of(tool):
            with open(path, "rb") as f:
                total.update(f.read())
        if met.setdefault(tool.alike, total.digest()) != total.digest():
            raise Failed(f"{name} wrote something else than those that do the same")


def in_turn(floor, tools, rounds, folder, say, keep=()):
    """Every tool once uncounted, then `rounds` times in turn (A B C A B C). What a tool wrote is removed when its turn is over, but for
    those in `keep`, which the next in turn reads. A tool that takes more than 20 s has one counted run."""
    runs = {name: [] for name in tools}
    slow, met = set(), {}
    for at in range(rounds + 1):
        for name, tool in tools.items():
            if name in slow and runs[name]:
                continue
            taken = once(floor, tool, folder)
            if at == 0:
                check(name, tool, met)
                if taken.wall > 20:
                    slow.add(name)
            else:
                runs[name].append(taken)
            if name not in keep:
                for path in files_of(tool):
                    os.remove(path)
        say(f"round {at} of {rounds}")
    for name in keep:
        for path in files_of(tools[name]):
            os.remove(path)
    return runs


@dataclass
class Median:
    wall: float
    least: float
    most: float
    cpu: float
    peak: float
    others: float
    runs: int
    written: int

    @classmethod
    def of(cls, runs, written):
        of = lambda what: statistics.median(getattr(r, what) for r in runs)
        walls = [r.wall for r in runs]
        return cls(of("wall"), min(walls), max(walls), of("cpu"), of("peak"), of("others"), len(runs), written)
