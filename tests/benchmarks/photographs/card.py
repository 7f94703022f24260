"""Write a night before a photograph as a card, with its truth beside it."""

import hashlib
import json
import os
import shutil
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np

import sample_cards.metadata as camera_files
from sample_cards.camera import Camera
from tests.benchmarks.photographs.develop import Darkroom
from tests.benchmarks.photographs.plan import COLLECTED, Plan, night_of
from tests.benchmarks.photographs.stand import stand


def digest_of(photographs: list[Path]) -> str:
    """Return a digest of the photographs and of all that decides what a night looks like."""
    digest = hashlib.blake2b(digest_size=6)
    for path in (*sorted(Path(__file__).parent.glob("*.py")), *photographs):
        digest.update(path.read_bytes())
    return digest.hexdigest()


def made(plan: Plan, photograph: Path, size: tuple[int, int], folder: Path) -> Path:
    """Return a night's card in `folder`, made first where it is not there."""
    if not folder.is_dir():
        making = folder.with_name(f".making-{folder.name}-{os.getpid()}")
        shutil.rmtree(making, ignore_errors=True)
        _write(plan, photograph, size, making)
        making.rename(folder)
    return folder / "card"


def _write(plan: Plan, photograph: Path, size: tuple[int, int], folder: Path) -> None:
    seed = int.from_bytes(hashlib.blake2b(plan.name.encode(), digest_size=4).digest())
    rng = np.random.default_rng(seed)
    room = Darkroom(stand(photograph, size, plan.lamps, rng), plan, seed)
    takes, begun = night_of(plan, rng)
    settings = Camera(focal_mm=28.0, sensor_mm=24.3, f_number=8.0, exposure_s=1 / 160, iso=800.0)
    frames: list[dict[str, Any]] = []
    for number, take in enumerate(takes, start=411):
        picture, told = room.picture(take)
        gain, shutter = room.exposure(take)
        name = camera_files.file_name(number)
        clock = take.taken.replace(microsecond=take.taken.microsecond // 10000 * 10000)
        now = replace(settings, iso=round(800 * gain), exposure_s=shutter / 160)
        path = folder / "card" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(camera_files.jpeg(picture, camera_files.Stamp(clock, now), 92))
        frames.append({"path": name, "taken": clock.isoformat(timespec="milliseconds"), **told})
    windows = [
        [min(moments).isoformat(), max(moments).isoformat()]
        for trip in {take.trip for take in takes if take.setup}
        if (moments := [take.taken for take in takes if take.trip == trip])
    ]
    faults = [
        {
            "component": fault.component,
            "fault": fault.fault,
            "from": begun[fault].isoformat(),
            "to": None,
            "minor": False,
        }
        for fault in plan.faults
    ]
    truth = {
        "night": plan.name,
        "size": list(size),
        "collected": COLLECTED.isoformat(),
        "setup_windows": sorted(windows),
        "faults": faults,
        "frames": frames,
    }
    (folder / "truth.json").write_text(json.dumps(truth), "utf-8")
