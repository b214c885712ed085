"""The numeric half alone, without a renderer: ``python -m sim check|seat|drive|index|stack``, as JSON or as lines."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from sim import answers, chain
from sim.bench import from_readings, stud_position, studs_withheld
from sim.bench.next_act import READ_AGAIN
from sim.causes.decision import Decision, decide
from sim.causes.one_act import by_machine, has_play
from sim.errors import BadInput, Fault, Refused, TrueseatError
from sim.files import as_counted, case_file, dial_readings
from sim.leads import leads, of_case, withheld
from sim.parts.case import Limits
from sim.parts.remarks import notes
from sim.processes import allow_all_cores
from sim.stack import answer as stacked
from sim.stack import run as stack_run
from sim.stack import study_file
from sim.wear.distances import to_drive_km


def parser() -> argparse.ArgumentParser:
    """Build the reader of the command line."""
    top = argparse.ArgumentParser(prog="python -m sim", description="Seating and wear of a brake rotor, numbers only.")
    commands = top.add_subparsers(dest="command", required=True)
    for name, does in (("check", "read case files"), ("seat", "seat a rotor"), ("drive", "wear over the road")):
        command = commands.add_parser(name, help=does)
        command.add_argument("case", type=Path, nargs="+" if name == "check" else None, help="case file (TOML)")
        command.add_argument("--json", action="store_true", help="print the whole answer as JSON")
        if name != "check":
            command.add_argument("--out", type=Path, help="folder for the run")
            command.add_argument("--preset", choices=("standard", "fast", "fine"), default="standard")
        if name == "drive":
            command.add_argument("--km", type=float, default=chain.DEFAULT_KM, help="distance to drive [km], from 100")
    command = commands.add_parser("index", help="best stud position")
    command.add_argument("case", type=Path, nargs="?", help="case file (TOML); or give --hub and --rotor")
    command.add_argument("--hub", type=Path, help="readings of the bare hub face (CSV)")
    command.add_argument("--rotor", type=Path, help="readings of the mounted rotor (CSV)")
    command.add_argument("--json", action="store_true", help="print the whole answer as JSON")
    command = commands.add_parser("stack", help="tolerance stack: what share of corners passes")
    command.add_argument("study", type=Path, help="file of the stack (TOML), or population_rear")
    command.add_argument("--samples", type=int, help="corners drawn at the most")
    command.add_argument("--out", type=Path, help="folder that keeps what was drawn")
    command.add_argument("--json", action="store_true", help="print the whole answer as JSON")
    return top


def index(options: argparse.Namespace) -> tuple[dict[str, Any], int]:
    """Find the best stud position, from a case or from two tables of readings."""
    if (options.case is None) == (options.hub is None or options.rotor is None):
        raise BadInput(Fault("what to index is not clear", allowed="a case file, or --hub CSV --rotor CSV"))
    if options.case is None:
        hub, rotor = dial_readings.read_beside(options.hub, options.rotor)
        found = from_readings.index_readings(hub, rotor)
        decided = decide(from_readings.together(hub, rotor), Limits())
        if decided.moved_to is not None:
            found = from_readings.index_readings(hub, rotor, ordered=decided.moved_to)
        act = {"act": answers.plain(by_machine(decided.act, decided.told)), "move": decided.moved_to is not None}
        first = _before_a_stud(decided)
        answer = from_readings.bench_answer(found) | act | studs_withheld.withheld("".join(first))
        return _as_counted({"leads": list(first)} | answer, rotor.turned, rotor.studs), 0
    corner = case_file.load_case(options.case)
    result, seats = stud_position.index_case(corner)
    first = of_case(corner)
    answer = from_readings.case_answer(corner, result, seats)[0]
    return {"leads": list(first)} | answer | studs_withheld.withheld("; ".join(first)), 0


def _as_counted(answer: dict[str, Any], turned: str, studs: int) -> dict[str, Any]:
    """Name places in the texts of an answer as the table counts; its numbers count as `counting` beside them says."""
    worded = answers.each_text(answer, lambda text: as_counted.said(text, turned, studs))
    return {**worded, "counting": as_counted.counting(turned)}


def _before_a_stud(decided: Decision) -> tuple[str, ...]:
    """Say what comes before every stud position of two tables: a hub with play, or what is to be read again."""
    if has_play(decided.told):
        return ("The bearing has play: hub or bearing first, no reading of these tables counts",)
    return ("What these tables contradict, or give a slip of, is read again first",) * (decided.act.what == READ_AGAIN)


def check(options: argparse.Namespace) -> tuple[dict[str, Any], int]:
    """Read case files; every fault of each goes into the answer."""
    records, faulty = [], False
    for path in options.case:
        try:
            case = case_file.load_case(path)
            records.append({"file": str(path), "title": case.title, "faults": [], "remarks": list(notes(case))})
        except BadInput as error:
            records.append({"file": str(path), "title": "", "faults": [str(fault) for fault in error.faults]})
            faulty = True
        except Refused as error:  # a rotor that is scrap
            records.append({"file": str(path), "title": "", "faults": [str(error)]})
    code = 2 if faulty else 3 if any(record["faults"] for record in records) else 0
    return {"files": records}, code


def _write(run: chain.Run, folder: Path) -> None:
    from sim import run_folder  # only where one is asked for: what takes results apart is dear to load

    run_folder.save(run, folder)


def seat(options: argparse.Namespace) -> tuple[dict[str, Any], int]:
    """Seat a rotor."""
    done = chain.compute(case_file.load_case(options.case), None, options.preset, fields_too=options.out is not None)
    if options.out is not None:
        _write(done, options.out)
    return {"leads": list(leads(done))} | answers.seat_answer(done), 0


def drive(options: argparse.Namespace) -> tuple[dict[str, Any], int]:
    """Drive a corner."""
    km, corner = to_drive_km(options.km), case_file.load_case(options.case)
    done = chain.compute(corner, km, options.preset, fields_too=options.out is not None)
    if options.out is not None:
        _write(done, options.out)
    first = leads(done)
    return {"leads": list(first)} | answers.drive_answer(done) | withheld(first), 0


def stack(options: argparse.Namespace) -> tuple[dict[str, Any], int]:
    """Draw and seat many corners."""
    study = study_file.load_study(options.study)
    if options.samples is not None:
        study = replace(study, samples=options.samples)
    return answers.plain(stacked.told(stacked.answer(stack_run.run(study, folder=options.out)))), 0


def lines(answer: dict[str, Any]) -> list[str]:
    """Write what comes first, then the short entries of an answer as ``name: value``; curves are left to ``--json``."""
    first = answer.get("leads", [])
    rest = ((name, value) for name, value in answer.items() if name != "leads")
    short = [(name, value) for name, value in rest if not isinstance(value, (list, dict)) or len(value) <= 3]
    return [*first, *(f"{name}: {value}" for name, value in short)]


def main(argv: Sequence[str] | None = None) -> int:
    """Run the command line and return its exit code: 0 done, 2 bad input, 3 refused by the physics, 130 interrupted."""
    options = parser().parse_args(argv)
    allow_all_cores()
    command = {"check": check, "seat": seat, "drive": drive, "index": index, "stack": stack}[options.command]
    try:
        answer, code = command(options)
        sys.stdout.write((answers.text(answer) if options.json else "\n".join(lines(answer))) + "\n")
        sys.stdout.flush()
    except TrueseatError as error:
        if os.environ.get("TRUESEAT_DEBUG"):
            raise
        sys.stderr.write(f"{error}\n")
        return error.exit_code
    except KeyboardInterrupt:
        return 130
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    return code


if __name__ == "__main__":
    sys.exit(main())
