"""The report's contract as a checker: every key, every type, every word, and what must fit together."""

import re
from collections.abc import Mapping
from typing import Any

# The words of the contract, written out here and not taken from the program.
FINDINGS = {"setup", "dark", "half-lit", "dim", "empty", "edge", "soft", "fogged", "clipped", "damaged"}
PARTS = {
    "flash-left",
    "flash-right",
    "flash-3",
    "flash-link",
    "trigger",
    "camera",
    "lens",
    "aim",
    "focus",
    "clock",
    "card",
}
FAULTS = {
    "flash-left": {"stopped", "fading", "misfires", "slow-wake", "slow-recycle"},
    "trigger": {"false-fires", "late"},
    "camera": {"stopped-early"},
    "lens": {"fogged"},
    "aim": {"moved"},
    "focus": {"soft"},
    "clock": {"reset", "wrong"},
    "card": {"damaged-files", "missing-numbers", "full"},
}
FAULTS |= dict.fromkeys(("flash-right", "flash-3", "flash-link"), FAULTS["flash-left"])
EVENT_KINDS = {"subject", "empty", "setup", "dark", "mixed"}
SIDES = ["left", "top", "right", "bottom"]
TIME = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d{1,6})?\Z")


def check_report(report: Mapping[str, Any]) -> None:
    """Fail where a report does not keep the contract."""
    keys(report, "format version card night frames events diagnosis accounted")
    assert (report["format"], report["version"]) == ("triage-report", 1)
    check_card(report["card"])
    check_night(report["night"])
    for frame in report["frames"]:
        check_frame(frame)
    paths = [frame["path"] for frame in report["frames"]]
    assert len(set(paths)) == len(paths) == report["card"]["frames"]
    check_events(report["events"], report["frames"])
    for fault in report["diagnosis"]:
        check_fault(fault, set(paths))
    check_accounted(report)


def keys(value: Mapping[str, Any], words: str) -> None:
    assert set(value) >= set(words.split()), set(words.split()) - set(value)


def is_time(value: Any) -> bool:
    return isinstance(value, str) and TIME.match(value) is not None


def is_share(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and 0 <= value <= 1


def check_card(card: Mapping[str, Any]) -> None:
    keys(card, "root first last frames files bytes other_files")
    assert isinstance(card["root"], str)
    assert is_time(card["first"])
    assert is_time(card["last"])
    assert all(isinstance(card[name], int) for name in ("frames", "files", "bytes"))
    assert all(isinstance(name, str) for name in card["other_files"])


def check_night(night: Mapping[str, Any]) -> None:
    keys(night, "start end setup_windows setup_windows_source sunset sunrise moon_lit summary")
    assert is_time(night["start"])
    assert is_time(night["end"])
    assert night["setup_windows_source"] in {"given", "worked out"}
    for start, end in night["setup_windows"]:
        assert is_time(start)
        assert is_time(end)
        assert start <= end
    assert all(night[name] is None or is_time(night[name]) for name in ("sunset", "sunrise"))
    assert night["moon_lit"] is None or is_share(night["moon_lit"])
    assert isinstance(night["summary"], str)
    assert "\n" not in night["summary"]


def check_frame(frame: Mapping[str, Any]) -> None:
    keys(frame, "path files taken true_time findings subject unsure event light")
    assert "\\" not in frame["path"]
    assert not frame["path"].startswith(("/", "./"))
    assert frame["path"] == frame["files"][0]
    assert is_time(frame["taken"])
    assert frame["true_time"] is None or is_time(frame["true_time"])
    assert isinstance(frame["unsure"], bool)
    said = [finding["kind"] for finding in frame["findings"]]
    assert set(said) <= FINDINGS
    assert len(set(said)) == len(said)
    assert not {"dark", "empty"} <= set(said)
    assert not ("empty" in said and frame["unsure"])
    for finding in frame["findings"]:
        assert is_share(finding["confidence"])
        assert isinstance(finding["why"], str)
        assert finding["why"]
    if frame["subject"] is not None:
        check_subject(frame["subject"])
    check_light(frame["light"])


def check_subject(subject: Mapping[str, Any]) -> None:
    keys(subject, "box confidence cut_by")
    x0, y0, x1, y1 = subject["box"]
    assert 0 <= x0 < x1 <= 1
    assert 0 <= y0 < y1 <= 1
    assert is_share(subject["confidence"])
    assert set(subject["cut_by"]) <= set(SIDES)


def check_light(light: Mapping[str, Any]) -> None:
    assert "ambient" in light
    assert set(light) - {"ambient"} <= {"flash-left", "flash-right", "flash-3"}
    assert all(value is None or (isinstance(value, int | float) and value >= 0) for value in light.values())


def check_events(events: list[Mapping[str, Any]], frames: list[Mapping[str, Any]]) -> None:
    by_path = {frame["path"]: frame for frame in frames}
    owner = {}
    for event in events:
        keys(event, "id start end frames lead kind")
        assert isinstance(event["id"], int)
        assert is_time(event["start"])
        assert is_time(event["end"])
        assert event["frames"]
        assert event["lead"] in event["frames"]
        assert event["kind"] in EVENT_KINDS
        for path in event["frames"]:
            assert path not in owner
            owner[path] = event["id"]
            in_setup = any(finding["kind"] == "setup" for finding in by_path[path]["findings"])
            assert in_setup == (event["kind"] == "setup"), path
    assert owner == {path: frame["event"] for path, frame in by_path.items()}


def check_fault(fault: Mapping[str, Any], paths: set[str]) -> None:
    keys(fault, "component fault from to confidence evidence say remedy")
    assert fault["component"] in PARTS
    assert fault["fault"] in FAULTS[fault["component"]]
    assert fault["from"] is None or is_time(fault["from"])
    assert fault["to"] is None or is_time(fault["to"])
    assert is_share(fault["confidence"])
    assert set(fault["evidence"]) <= paths
    assert fault["say"]
    assert fault["remedy"]


def check_accounted(report: Mapping[str, Any]) -> None:
    accounted = report["accounted"]
    keys(accounted, "triaged damaged ignored")
    assert accounted["triaged"] + accounted["damaged"] == len(report["frames"])
    for entry in accounted["ignored"]:
        assert isinstance(entry["path"], str)
        assert entry["reason"]
    in_frames = {name for frame in report["frames"] for name in frame["files"]}
    ignored = {entry["path"] for entry in accounted["ignored"]}
    assert not in_frames & ignored
    assert len(in_frames) <= report["card"]["files"] <= len(in_frames | ignored)
