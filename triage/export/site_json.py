"""The record of sites as JSON, for other programs; the same record gives the same bytes."""

import json
from collections import Counter
from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from triage.diagnose.cells import CellOutlook
from triage.diagnose.site_night import visits
from triage.events.activity import Activity
from triage.export.report import (
    CONFIDENCE_DIGITS,
    LIGHT_DIGITS,
    camera_time,
    optional_time,
    outlook_values,
    rounded,
)
from triage.export.site_book import SiteBook
from triage.records.site import SiteNight

FORMAT = "triage-sites"
VERSION = 1

HOUR_DIGITS = 4
CHANCE_DIGITS = 6
FIRE_DIGITS = 1


def sites_json(books: Sequence[SiteBook]) -> str:
    """Return the record as text that can be written as UTF-8.

    Parameters
    ----------
    books : sequence of SiteBook
        Each site to be told of.

    Returns
    -------
    str
        JSON, ended by a line break. Times of day are hours of the camera's clock, 0 to 24.
    """
    told = {"format": FORMAT, "version": VERSION, "sites": [_site(book) for book in books]}
    return json.dumps(told, ensure_ascii=False, allow_nan=False, indent=1) + "\n"


def _site(book: SiteBook) -> dict[str, Any]:
    return {
        "site": book.site,
        "nights": [_night(night, book.kept[night.digest]) for night in book.nights],
        "activity": {
            "apart_min": book.apart.total_seconds() / 60,
            "left_out": [camera_time(night.first) for night in book.left_out],
        }
        | _activity(book.activity),
        "lost": [
            {
                "component": loss.part.value,
                "fault": loss.kind.value,
                "nights": [camera_time(night.first) for night in loss.nights],
            }
            for loss in book.losses
        ],
        "cells": [_cells(cells) for cells in book.cells],
    }


def _night(night: SiteNight, kept: int) -> dict[str, Any]:
    kinds = Counter(event.kind.value for event in night.events)
    return {
        "first": camera_time(night.first),
        "last": camera_time(night.last),
        "watched": [camera_time(night.watched.start), camera_time(night.watched.end)],
        "frames": night.frames,
        "trips": {"all": night.trips, "subject": night.trips_with_subject, "empty": night.trips_empty},
        "visits": len(visits(night)),
        "kept": kept,
        "events": dict(sorted(kinds.items())),
        "findings": {kind.value: frames for kind, frames in night.found},
        "faults": [
            {
                "component": fault.part.value,
                "fault": fault.kind.value,
                "from": optional_time(fault.start),
                "to": optional_time(fault.end),
                "confidence": rounded(fault.confidence, CONFIDENCE_DIGITS),
            }
            for fault in night.faults
        ],
        "flashes": [
            {
                "component": flash.part.value,
                "asked": flash.asked,
                "fired": flash.fired,
                "given": rounded(flash.given, LIGHT_DIGITS),
                "outlook": outlook_values(flash.outlook),
            }
            for flash in night.flashes
        ],
        "fresh_cells": night.has_fresh_cells,
    }


def _activity(found: Activity) -> dict[str, Any]:
    return {
        "visits": len(found.times),
        "times_h": [rounded(time, HOUR_DIGITS) for time in found.times],
        "mean_h": rounded(found.mean_h, HOUR_DIGITS),
        "resultant": rounded(found.resultant, HOUR_DIGITS),
        "spread_h": rounded(found.spread_h, HOUR_DIGITS),
        "rayleigh_p": rounded(found.rayleigh_p, CHANCE_DIGITS),
        "rayleigh_watched_p": rounded(found.rayleigh_watched_p, CHANCE_DIGITS),
        "half_h": None if found.half is None else [rounded(end, HOUR_DIGITS) for end in found.half],
        "concentration": rounded(found.concentration, HOUR_DIGITS),
        "density_per_h": [rounded(value, CHANCE_DIGITS) for value in found.density],
        "watched_h": [rounded(value, HOUR_DIGITS) for value in found.watched],
    }


def _cells(cells: CellOutlook) -> dict[str, Any]:
    names = ("fires_left", "fires_least", "fires_most", "nights_left", "nights_least", "nights_most")
    return {
        "component": cells.part.value,
        "sets": [
            asdict(one) | {"since": camera_time(one.since), "until": camera_time(one.until)}
            for one in cells.sets
        ],
        "reached": cells.reached,
        "fires_a_night": rounded(cells.fires_a_night, FIRE_DIGITS),
        **{name: rounded(getattr(cells, name), FIRE_DIGITS) for name in names},
        "outlook": outlook_values(cells.outlook),
    }
