"""Readings of an invented corner whose truth is known: orders of hub and rotor, dirt seated by the elastic model."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from sim.files.dial_readings import Readings, Trace
from sim.parts.case import Case, Debris
from sim.seating.seat import seat
from sim.turn import evaluate, harmonics

ANGLES = np.arange(0.0, 360.0, 30.0)
CASE = Case()
SEAT_AGAIN_UM = 2.0  # of a component, where a rotor is put on again


def dirt_orders(case: Case = CASE, **patch: float) -> np.ndarray:
    """Orders 1 .. 6 of a patch on the hub, hub frame. [um]"""
    return harmonics(seat(replace(case, debris=(Debris(**patch),)), "fast").outboard_um, 6)[1:]


def orders(*values: complex) -> np.ndarray:
    """Orders 1 .. 6 from the first few. [um]"""
    out = np.zeros(6, dtype=complex)
    out[: len(values)] = values
    return out


class Corner:
    """What is on the hub, on the rotor, between them, and a pen."""

    def __init__(self, seed: int = 1, studs: int = 5, **parts: np.ndarray) -> None:
        self.rng, self.studs = np.random.default_rng(seed), studs
        self.parts = {name: np.zeros(6, dtype=complex) for name in ("hub", "between", "rotor", "worn", "rotor_dirt")}
        self.parts |= parts
        self.traces: list[Trace] = []

    def _read(self, kind: str, mount: int, turned: int, waves: np.ndarray, state: str, step: float = 10.0) -> None:
        read = evaluate(np.concatenate([[0.0], waves]), np.radians(ANGLES)) + self.rng.normal(0.0, 2.0, ANGLES.size)
        value = np.round((read + self.rng.uniform(-200.0, 200.0)) / (step / 5)) * (step / 5)
        tried = None if kind == "thickness" else 100.0
        turn = Trace(kind, mount, turned, ANGLES.copy(), value, None, state, "", "nuts and spacers", feeler_um=tried)
        self.traces.append(turn)

    def mounted(self, turned: int, state: str = "as found", extra: np.ndarray | None = None) -> Corner:
        mount = 1 + max((trace.mount for trace in self.traces), default=0)
        phase = np.exp(2j * np.pi * np.arange(1, 7) * turned / self.studs)
        part = self.parts
        dirty = 0.0 if state.startswith("cleaned") else 1.0
        waves = (
            part["rotor"] - part["worn"] + dirty * part["rotor_dirt"] + phase * (part["hub"] + dirty * part["between"])
        )
        waves = waves + (0.0 if extra is None else extra)
        waves[:2] += np.array([1.0, 0.3]) * SEAT_AGAIN_UM * (self.rng.normal(size=2) + 1j * self.rng.normal(size=2))
        self._read("mounted", mount, turned, waves, state)
        return self

    def thickness(self) -> Corner:
        self._read("thickness", 1, self.traces[0].studs_turned, -1.5 * self.parts["worn"], "as found", 5.0)
        return self

    def bare(self, state: str = "cleaned") -> Corner:
        self._read("hub face", 0, 0, self.parts["hub"] * 64.0 / 140.0, state)
        return self

    def readings(self) -> Readings:
        return Readings(self.studs, 140.0, 64.0, 10.0, tuple(self.traces))
