"""Coverage-guided fuzzing of one kind of file with atheris, in a process of its own, because it ends the process.

`python -m tests.fuzz.guided KIND RUNS FOLDER`: what breaks is left in FOLDER as a file. Needs `pip install ".[fuzz]"`.
"""

from __future__ import annotations

import sys

import atheris

with atheris.instrument_imports(include=["sim.files", "sim.parts", "sim.stack", "sim.causes", "sim.bench"]):
    from tests.fuzz import doors

from tests.fuzz.inputs import KINDS, Changer


def main(words: list[str]) -> None:
    kind, runs, folder = words
    changer = Changer(kind)
    assert kind in KINDS

    def one(data: bytes) -> None:
        provider = atheris.FuzzedDataProvider(data)
        which = provider.ConsumeIntInRange(0, 15)
        steps = [
            (
                provider.ConsumeIntInRange(0, 255),
                provider.ConsumeIntInRange(0, 65535),
                provider.ConsumeIntInRange(0, 65535),
            )
            for _ in range(provider.ConsumeIntInRange(0, 8))
        ]
        more = provider.ConsumeUnicodeNoSurrogates(40)
        try:
            doors.parsed(kind, changer.text(which, steps) + more)
        except BaseException as error:
            print(f"FOUND {(which, steps, more)!r:.2000}: {type(error).__name__}: {error!s:.300}", flush=True)
            raise

    atheris.Setup(
        [sys.argv[0], f"-runs={runs}", "-max_len=200", f"-artifact_prefix={folder}/", "-rss_limit_mb=4096"], one
    )
    atheris.Fuzz()


if __name__ == "__main__":
    main(sys.argv[1:])
