#!/usr/bin/env python3
"""Plans of the open routing instances beside those of PyVRP, a general-purpose solver for vehicle routing.

    compare_pyvrp.py [NAME...] [--seconds 10] [--seeds 3] [--roundhand target/release/roundhand] [--search-only]

Both get the same days, the same seconds of wall time, one thread and the same core, and take turns: for each instance
and seed first one, then the other. Our seconds are those of the whole command, reading and writing included; PyVRP's
are those of its search alone. Our command spends a part of its time on a lower bound, which PyVRP does not give;
--search-only leaves the bound out. Values are in the published convention (total distance, distances and times
truncated to one decimal, fleet free); ours is computed by the contract's own converter from the plan. The ratio is our
median value by PyVRP's: below 1 is cheaper than PyVRP.

Needs PyVRP in a virtual environment: python3 -m venv VENV && VENV/bin/pip install pyvrp
"""
import argparse
import csv
import json
import os
import statistics
import subprocess
import sys
import tempfile
from importlib import metadata
from pathlib import Path

try:
    import pyvrp
    from pyvrp.stop import MaxRuntime
except ImportError:
    sys.exit("PyVRP is not installed: make a virtual environment, `pip install pyvrp` in it, and run this with its python")

ROOT = Path(__file__).resolve().parents[2]
SHARED = ROOT.parent / "shared"
CONVERT = SHARED / "planning" / "vrptw_to_day.py"
CONVENTION = "total distance; distances and times truncated to one decimal; fleet free"


def published(names):
    """name -> published value, of the instances chosen by parts of their names"""
    with open(SHARED / "vrptw" / "best_known.csv") as f:
        rows = [r for r in csv.DictReader(f) if r["convention"] == CONVENTION]
    return {r["name"]: float(r["value"]) for r in rows if not names or any(n in r["name"] for n in names)}


def convert(*args):
    return subprocess.run([sys.executable, CONVERT, *args], check=True, capture_output=True, text=True).stdout


def model(day):
    """A converted day as PyVRP's model; the day's window bounds the end of service, PyVRP's its start."""
    m, travel, crew = pyvrp.Model(), day["travel_s"], day["crews"][0]
    shift = dict(tw_early=crew["shift"][0], tw_late=crew["shift"][1])
    places = [m.add_location(x=i, y=0) for i in range(len(travel))]     # only the edges count
    depot = m.add_depot(places[crew["start_place"]], **shift)
    for v in day["visits"]:
        service = v["ways"][0]["service_s"][0]
        m.add_client(places[v["place"]], delivery=v["load_g"], service_duration=service,
                     tw_early=v["window"][0], tw_late=v["window"][1] - service)
    m.add_vehicle_type(num_available=len(day["crews"]), capacity=crew["load_limit_g"],
                       start_depot=depot, end_depot=depot, **shift)
    for i, row in enumerate(travel):
        for j, t in enumerate(row):
            if i != j:
                m.add_edge(places[i], places[j], distance=t, duration=t)
    return m


def theirs(m, seconds, seed):
    best = m.solve(stop=MaxRuntime(seconds), seed=seed, display=False, collect_stats=False)
    return best.cost() / 10 if best.is_feasible() else float("inf")


def ours(args, file, problem, seed):
    plan = problem.with_suffix(".plan.json")
    command = [args.roundhand, "plan", problem, "-o", plan, "--seconds", str(args.seconds), "--seed", str(seed),
               "--threads", "1"]
    if args.search_only:
        command += ["--bound-seconds", "0"]
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
    said = dict(part.split("=") for part in convert(file, "--check", plan).split())
    return float(said["value"]) if said["unserved"] == "0" else float("inf")


def main():
    a = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    a.add_argument("names", nargs="*", metavar="NAME", help="parts of instance names; all if none is given")
    a.add_argument("--seconds", type=float, default=10)
    a.add_argument("--seeds", type=int, default=3)
    a.add_argument("--roundhand", type=Path, default=ROOT / "target" / "release" / "roundhand")
    a.add_argument("--search-only", action="store_true", help="no time for the lower bound")
    args = a.parse_args()
    if not args.roundhand.is_file():
        sys.exit("%s is missing: cargo build --release, or say where with --roundhand" % args.roundhand)
    if not (CONVERT.is_file() and (SHARED / "vrptw").is_dir()):
        sys.exit("SKIPPED: %s is missing, or lacks the instances" % SHARED)
    core = max(os.sched_getaffinity(0))
    os.sched_setaffinity(0, {core})     # the command inherits it
    print("PyVRP %s; %g s of wall time each, both on core %d, alternating; medians over %d seeds%s"
          % (metadata.version("pyvrp"), args.seconds, core, args.seeds, "; no lower bound" if args.search_only else ""))
    print("%-8s %10s %10s %8s %10s %8s %8s" % ("name", "published", "ours", "gap", "PyVRP", "gap", "ratio"))
    rows = []
    with tempfile.TemporaryDirectory() as folder:
        for name, value in published(args.names).items():
            file, problem = SHARED / "vrptw" / (name + ".txt"), Path(folder) / (name + ".json")
            problem.write_text(convert(file))
            m = model(json.loads(problem.read_text()))
            pairs = [(ours(args, file, problem, s), theirs(m, args.seconds, s)) for s in range(1, args.seeds + 1)]
            own, other = (statistics.median(side) for side in zip(*pairs))
            rows.append((own / value - 1, other / value - 1, own / other))
            print("%-8s %10.1f %10.1f %+7.2f%% %10.1f %+7.2f%% %8.4f"
                  % (name, value, own, rows[-1][0] * 100, other, rows[-1][1] * 100, rows[-1][2]), flush=True)
    if not rows:
        sys.exit("no instance has such a name")
    means = [statistics.fmean(column) for column in zip(*rows)]
    print("%-8s %10s %10s %+7.2f%% %10s %+7.2f%% %8.4f" % ("mean", "", "", means[0] * 100, "", means[1] * 100, means[2]))


if __name__ == "__main__":
    main()
