"""How the page of a night looks: light in a bright room, dark where the reader's system is dark, plain on paper."""

LIGHT = {
    "ground": "#fbfaf6",
    "sheet": "#ffffff",
    "ink": "#1d1f22",
    "quiet": "#565b62",
    "line": "#d5d2c8",
    "warm": "#8a4b00",
    "cool": "#00527f",
}
DARK = {
    "ground": "#14161a",
    "sheet": "#1d2026",
    "ink": "#ece9e1",
    "quiet": "#aeb1b7",
    "line": "#3a3f48",
    "warm": "#f0b040",
    "cool": "#7cc4f0",
}
SKY = {
    "day": "#5d8fb8",
    "civil": "#46698c",
    "nautical": "#324b6b",
    "astronomical": "#22324d",
    "night": "#141c2e",
    "unknown": "#2b3242",
}
"""The same in both, since the sky is what it is; marks on it are near white and orange."""

MARK, MARK_QUIET, RING = "#e69f00", "#ffffff", "#ffffff"


def style() -> str:
    """Return the page's style sheet.

    Returns
    -------
    str
        Without any address: fonts are the reader's own.
    """
    sky = "\n".join(f".sky.{kind} {{ fill: {colour}; }}" for kind, colour in SKY.items())
    return (
        f":root {{ color-scheme: light dark; {_variables(LIGHT)} }}\n"
        f"@media (prefers-color-scheme: dark) {{ :root {{ {_variables(DARK)} }} }}\n"
        f"@media print {{ :root {{ {_variables(LIGHT)} }} section {{ break-inside: avoid-page; }} }}\n"
        f"{_RULES}{sky}\n"
        f".mark {{ stroke: #10131a; stroke-width: 1; }}\n"
        f".mark.subject {{ fill: {MARK}; }}\n"
        f".mark.mixed, .mark.dark {{ fill: {MARK_QUIET}; }}\n"
        f".mark.dark {{ fill: #10131a; stroke: {MARK_QUIET}; stroke-width: 2; }}\n"
        f".mark.empty {{ fill: none; stroke: {MARK_QUIET}; stroke-width: 1.6; }}\n"
        f".mark.setup {{ fill: #9fb3c8; }}\n"
        f".ring {{ fill: none; stroke: {RING}; stroke-width: 1.6; }}\n"
    )


def _variables(colours: dict[str, str]) -> str:
    return " ".join(f"--{name}: {colour};" for name, colour in colours.items())


_RULES = """\
* { box-sizing: border-box; }
body { margin: 0; background: var(--ground); color: var(--ink);
  font: 1.0625rem/1.55 "Iowan Old Style", Palatino, "Palatino Linotype", "Book Antiqua", Georgia, serif; }
header, main, footer { max-width: 62rem; margin: 0 auto; padding: 0 1.25rem; }
header { padding-top: 2.5rem; }
h1 { font-size: 2.1rem; line-height: 1.15; margin: 0 0 .75rem; font-weight: 600; letter-spacing: -.01em; }
h2 { font-size: 1.3rem; margin: 2.75rem 0 .75rem; padding-top: .6rem; border-top: 3px solid var(--ink);
  display: inline-block; }
h3 { font-size: 1.06rem; margin: 0 0 .15rem; }
p { margin: .4rem 0; max-width: 46rem; }
.lead { font-size: 1.2rem; }
.quiet { color: var(--quiet); font-size: .95rem; }
.scroll { overflow-x: auto; }
.scroll:focus-visible { outline: 3px solid var(--cool); outline-offset: 2px; }
.band { min-width: 46rem; }
svg { display: block; width: 100%; height: auto; }
.tick { stroke: var(--quiet); }
.hour, .part { font: 16px system-ui, sans-serif; fill: var(--ink); }
.hour { text-anchor: middle; fill: var(--quiet); }
.lane { fill: var(--warm); }
.legend { list-style: none; display: flex; flex-wrap: wrap; gap: .35rem 1.1rem; margin: .6rem 0; padding: 0;
  color: var(--quiet); font-size: .92rem; }
.legend li { display: flex; align-items: center; gap: .4rem; }
.legend svg { width: 1.5rem; height: 1.5rem; padding: .1rem; background: #22324d; border-radius: .2rem; }
table { border-collapse: collapse; width: 100%; font-size: .96rem; }
caption { text-align: left; color: var(--quiet); padding-bottom: .4rem; }
th, td { text-align: left; vertical-align: top; padding: .4rem .9rem .4rem 0; border-bottom: 1px solid var(--line); }
thead th { font-size: .88rem; color: var(--quiet); font-weight: 600; }
td.number, th.number { text-align: right; font-variant-numeric: tabular-nums; }
tbody th { font-weight: 600; font-variant-numeric: tabular-nums; white-space: nowrap; }
tr.nothing td, tr.nothing th { color: var(--quiet); font-weight: 400; }
.pictures { display: grid; grid-template-columns: repeat(auto-fill, minmax(15rem, 1fr)); gap: 1.25rem; }
figure { margin: 0; }
.pictures img { display: block; width: 100%; height: auto; border-radius: .2rem; background: #10131a; }
figcaption { font-size: .92rem; color: var(--quiet); padding-top: .35rem; }
figcaption strong { color: var(--ink); }
.faults, .todo { padding: 0; margin: 0; list-style: none; counter-reset: at; }
.faults > li, .todo > li { padding: .9rem 1.1rem; margin: 0 0 .8rem; background: var(--sheet);
  border: 1px solid var(--line); border-left: .35rem solid var(--warm); }
.todo > li { border-left-color: var(--cool); }
.doubt { border-left-style: dotted !important; }
ul.plain { padding-left: 1.1rem; max-width: 46rem; }
ul.plain li { margin: .3rem 0; }
dl { max-width: 46rem; }
dt { font-weight: 600; margin-top: .7rem; }
dd { margin: .1rem 0 0; }
footer { padding-bottom: 3rem; }
"""
