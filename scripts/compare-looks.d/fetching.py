"""Brings the photographs: from scikit-image's wheel, and from Debian packages into a cache under target."""

import io
import shutil
import subprocess
import tarfile
import zipfile
from importlib.metadata import version
from pathlib import Path

import skimage
from PIL import Image

from sources import FOLDERS, TEXTURES, WHEEL

CACHE = Path("target/compare-looks/packages")


class Missing(Exception):
    """A package that could not be had, and why."""


def pictures():
    """Each texture's photograph, and the version of each package."""
    for package in FOLDERS:
        fetch(package)
    found = [Image.open(path_of(texture)) for texture in TEXTURES]
    versions = {package: (CACHE / package / "version").read_text() for package in FOLDERS}
    return found, {WHEEL: version(WHEEL), **versions}


def path_of(texture):
    """Where a texture's photograph lies."""
    if texture.package == WHEEL:
        return Path(skimage.__file__).parent / "data" / texture.file
    return CACHE / texture.package / Path(texture.file).name


def fetch(package):
    """Downloads a Debian package, keeps the pictures that are used and its version, and forgets the rest."""
    home = CACHE / package
    wanted = [texture.file for texture in TEXTURES if texture.package == package]
    if (home / "version").exists() and all((home / Path(file).name).exists() for file in wanted):
        return
    home.mkdir(parents=True, exist_ok=True)
    archive = download(package, home)
    take(archive, package, wanted, home)
    (home / "version").write_text(say(["dpkg-deb", "--field", archive, "Version"]).decode().strip())
    archive.unlink()


def download(package, home):
    """The package's file, by the ordinary client."""
    for tool in ["apt-get", "dpkg-deb"]:
        if not shutil.which(tool):
            raise Missing(f"{package}: no {tool} here; it is a Debian package")
    try:
        say(["apt-get", "download", package], cwd=home)
    except subprocess.CalledProcessError as e:
        raise Missing(f"{package}: apt-get download failed (apt-get update first?): {e.stderr.decode().strip()}") from e
    return next(home.glob("*.deb")).absolute()


def take(archive, package, wanted, home):
    """Writes the wanted pictures out of the package, or out of the zip archive in it."""
    inner, folder = FOLDERS[package]
    with tarfile.open(fileobj=io.BytesIO(say(["dpkg-deb", "--fsys-tarfile", archive]))) as whole:
        read = lambda name: whole.extractfile(name).read()
        if inner:
            read = zipfile.ZipFile(io.BytesIO(read(inner))).read
        for file in wanted:
            try:
                (home / Path(file).name).write_bytes(read(folder + file))
            except KeyError as e:
                raise Missing(f"{package}: this version has no {file}") from e


def say(command, **more):
    """What a command says."""
    return subprocess.run(command, check=True, capture_output=True, **more).stdout
