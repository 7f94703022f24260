#!/usr/bin/env python3
"""Set up Card Triage in its own folder and run it: the two commands of README.

    python3 resources/start.py demo [FOLDER]   a sample card, and the window on it
    python3 resources/start.py test [WORDS]    the tests; WORDS go to pytest
    python3 resources/start.py prepare         only install what the tests and checks need

It looks for what is missing by trying, and installs only that: system packages through apt-get where there
is one, Python packages into the virtual environment .venv of this folder (or where TRIAGE_VENV says). Where
all is there it installs nothing.
"""

# Only the standard library and what Python 3.8 understands, so that an older Python can say what is needed.
import ctypes
import hashlib
import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
OLDEST, TOO_NEW = (3, 11), (3, 15)  # as requires-python in pyproject.toml; a test compares them

# What Qt's libraries and its X11 and Wayland parts are linked against: file name -> Debian package.
LIBRARIES = {
    "libEGL.so.1": "libegl1",
    "libGL.so.1": "libgl1",
    "libX11-xcb.so.1": "libx11-xcb1",
    "libdbus-1.so.3": "libdbus-1-3",
    "libfontconfig.so.1": "libfontconfig1",
    "libglib-2.0.so.0": "libglib2.0-0",
    "libxcb-cursor.so.0": "libxcb-cursor0",
    "libxcb-glx.so.0": "libxcb-glx0",
    "libxcb-icccm.so.4": "libxcb-icccm4",
    "libxcb-image.so.0": "libxcb-image0",
    "libxcb-keysyms.so.1": "libxcb-keysyms1",
    "libxcb-randr.so.0": "libxcb-randr0",
    "libxcb-render-util.so.0": "libxcb-render-util0",
    "libxcb-render.so.0": "libxcb-render0",
    "libxcb-shape.so.0": "libxcb-shape0",
    "libxcb-shm.so.0": "libxcb-shm0",
    "libxcb-sync.so.1": "libxcb-sync1",
    "libxcb-util.so.1": "libxcb-util1",
    "libxcb-xfixes.so.0": "libxcb-xfixes0",
    "libxcb-xkb.so.1": "libxcb-xkb1",
    "libxkbcommon-x11.so.0": "libxkbcommon-x11-0",
    "libxkbcommon.so.0": "libxkbcommon0",
    "libwayland-client.so.0": "libwayland-client0",
    "libwayland-cursor.so.0": "libwayland-cursor0",
    "libwayland-egl.so.1": "libwayland-egl1",
}
# What the tests drive the window and check the outputs with: program -> Debian package.
TEST_PROGRAMS = {
    "Xvfb": "xvfb",
    "xdotool": "xdotool",
    "openbox": "openbox",
    "exiftool": "libimage-exiftool-perl",
    "exiv2": "exiv2",
    "tidy": "tidy",
}
FONT_FOLDERS = ("/usr/share/fonts", "/usr/local/share/fonts", "~/.local/share/fonts", "~/.fonts")


def say(text):
    """Print one line at once, also when the output is a file."""
    print(text, flush=True)


def leave(text):
    """Say why it cannot go on, and end."""
    say(text)
    sys.exit(1)


def find_python():
    """Find a Python this program runs on: the one at work, else the newest that is there."""
    names = [f"python3.{minor}" for minor in range(TOO_NEW[1] - 1, OLDEST[1] - 1, -1)]
    for candidate in [sys.executable, *map(shutil.which, [*names, "python3", "python"])]:
        if candidate and OLDEST <= version_of(candidate) < TOO_NEW:
            return candidate
    return leave(
        f"Card Triage needs Python {dotted(OLDEST)} or newer, below {dotted(TOO_NEW)}. This one is "
        f"{dotted(sys.version_info[:2])}, and no other was found. Install one, then start again."
    )


def dotted(version):
    """Write a version as people do: 3.11."""
    return ".".join(map(str, version))


def version_of(python):
    """Tell the (major, minor) version of an interpreter; (0, 0) where it does not run."""
    if python == sys.executable:
        return sys.version_info[:2]
    words = [python, "-c", "import sys; print(*sys.version_info[:2])"]
    try:
        answer = subprocess.run(words, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, check=True)
        major, minor = answer.stdout.split()
        return int(major), int(minor)
    except (OSError, ValueError, subprocess.CalledProcessError):
        return 0, 0


def missing_packages(python, for_tests):
    """List the Debian packages that are missing, found by trying to use what they hold."""
    missing = []
    if not has_pip(venv_folder()) and not runs([python, "-c", "import ensurepip, venv"]):
        missing.append(f"python{dotted(version_of(python))}-venv")
    missing += [package for library, package in LIBRARIES.items() if not loads(library)]
    if not has_font():
        missing.append("fonts-dejavu-core")
    if for_tests:
        missing += [package for program, package in TEST_PROGRAMS.items() if not shutil.which(program)]
    return missing


def loads(library):
    """Tell whether the system finds and loads a library."""
    try:
        ctypes.CDLL(library)
    except OSError:
        return False
    return True


def has_font():
    """Tell whether there is any font to write with."""
    folders = [Path(folder).expanduser() for folder in FONT_FOLDERS]
    return any(next(folder.rglob(pattern), None) for folder in folders for pattern in ("*.[ot]tf", "*.ttc"))


def runs(words, output=subprocess.DEVNULL, environment=None):
    """Tell whether a command ends well; what it prints goes to the output, not to the terminal."""
    try:
        done = subprocess.run(words, check=False, stdout=output, stderr=subprocess.STDOUT, env=environment)
    except OSError:
        return False
    return done.returncode == 0


def install_packages(missing):
    """Install Debian packages where that is possible and allowed; say what to do where it is not."""
    if not shutil.which("apt-get"):
        say(
            "System: missing, and to be installed by your system's own means (Debian's names): "
            + " ".join(missing)
        )
        return
    install = ["apt-get", "install", "-y", "--no-install-recommends"]
    before = rights(missing)
    if before is None:
        say("System: these packages are missing; without them some things will not work. To install them:")
        say("  sudo " + " ".join([*install, *missing]))
        return
    say(f"System: installing {' '.join(missing)}")
    with Log() as log:
        if not log.ran([*before, "apt-get", "update"]):
            say("System: the list of packages could not be renewed; trying with the old one.")
        if log.ran([*before, *install, *missing]):
            return
        # One name that this system does not know must not keep the others out.
        failed = [name for name in missing if not log.ran([*before, *install, name])]
        if failed:
            log.show_end()
            say(f"System: could not be installed: {' '.join(failed)}. Going on without.")


def rights(missing):
    """Tell the words to put before apt-get: none as root, sudo where the user agrees, else None."""
    if os.geteuid() == 0:
        return []
    if not shutil.which("sudo") or not sys.stdin.isatty():
        return None
    say("These system packages are missing: " + " ".join(missing))
    answer = input("Install them now with sudo, which may ask for your password? [y/n] ")
    return ["sudo"] if answer.strip().lower() in ("y", "yes") else None


class Log:
    """A file for what the installers print; it stays only where its end was shown."""

    def __enter__(self):
        """Make the file."""
        handle, name = tempfile.mkstemp(prefix="card-triage-", suffix=".log")
        self.file, self.path, self.shown = os.fdopen(handle, "wb"), Path(name), False
        return self

    def __exit__(self, *details):
        """Take the file away, unless it explains a failure."""
        self.file.close()
        if not self.shown:
            self.path.unlink()

    def ran(self, words):
        """Run an installer; tell whether it ended well."""
        environment = dict(os.environ, DEBIAN_FRONTEND="noninteractive", PIP_DISABLE_PIP_VERSION_CHECK="1")
        self.file.write(f"\n$ {' '.join(words)}\n".encode())
        self.file.flush()
        return runs(words, self.file, environment)

    def show_end(self):
        """Show the last lines, where the reason of a failure stands."""
        self.shown = True
        lines = self.path.read_bytes().decode(errors="replace").splitlines()
        say("\n".join("  | " + line for line in lines[-15:]))
        say(f"  (all of it: {self.path})")


def venv_folder():
    """Tell where the virtual environment is, or will be."""
    return Path(os.environ.get("TRIAGE_VENV") or ROOT / ".venv")


def venv_python(folder):
    """Tell the path of a virtual environment's own Python."""
    return folder / ("Scripts/python.exe" if os.name == "nt" else "bin/python")


def prepare_venv(python, for_tests):
    """Make the virtual environment, or use the one that is there; give back its Python."""
    folder = venv_folder()
    inside = str(venv_python(folder))
    stamp = folder / "card-triage.stamp"
    project = hashlib.sha256((ROOT / "pyproject.toml").read_bytes()).hexdigest() + " " + str(ROOT)
    if not has_pip(folder):
        make_venv(python, folder)
    have = stamp.read_text().split("\n") if stamp.exists() else []
    if have[:1] == [project] and ("tests" in have or not for_tests):
        say(f"Python packages: all there ({folder})")
        return inside
    say(f"Python packages: installing into {folder}; the first time takes some minutes")
    with Log() as log:
        wanted = f"{ROOT}[check]" if for_tests else str(ROOT)
        if not log.ran([inside, "-m", "pip", "install", "--editable", wanted]):
            log.show_end()
            leave("The Python packages could not be installed. Is there a network?")
    stamp.write_text(project + "\n" + ("tests" if for_tests else "use") + "\n")
    return inside


def has_pip(folder):
    """Tell whether a virtual environment is whole: a half-made one has a Python, but no pip."""
    return runs([str(venv_python(folder)), "-c", "import pip"])


def make_venv(python, folder):
    """Make an empty virtual environment; never in place of anything else."""
    if folder.exists() and any(folder.iterdir()) and not (folder / "pyvenv.cfg").exists():
        leave(f"{folder} is in the way: it holds something else than a virtual environment.")
    with Log() as log:
        if not log.ran([python, "-m", "venv", "--clear", str(folder)]):
            log.show_end()
            leave(f"The virtual environment in {folder} could not be made.")


def prepare(for_tests):
    """Install what is missing; give back the Python to run the program with."""
    python = find_python()
    say(f"Python: {dotted(version_of(python))} ({python})")
    if sys.platform.startswith("linux"):
        missing = missing_packages(python, for_tests)
        if missing:
            install_packages(missing)
        else:
            say("System: all there")
    return prepare_venv(python, for_tests)


def main(words):
    """Run one of the commands; give back its exit code."""
    command, rest = (words[0] if words else ""), words[1:]
    if command == "demo":
        python = prepare(for_tests=False)
        return subprocess.run([python, "-m", "triage", "demo", *rest], check=False).returncode
    if command == "test":
        tests = [prepare(for_tests=True), "-m", "pytest", "-n", "2", *rest]
        environment = dict(os.environ, QT_QPA_PLATFORM="offscreen")
        return subprocess.run(tests, check=False, cwd=str(ROOT), env=environment).returncode
    if command == "prepare":
        prepare(for_tests=True)
        return 0
    say(__doc__)
    return 0 if command in ("-h", "--help") else 2


if __name__ == "__main__":
    try:
        sys.exit(main(sys.argv[1:]))
    except KeyboardInterrupt:
        sys.exit(130)
