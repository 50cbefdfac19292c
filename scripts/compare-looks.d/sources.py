"""The photographs of textures: where each comes from and under which licence.

None of them is in this repository. Licences are as the documentation of skimage.data and the packages' own
debian/copyright say. All were chosen before anything was compared; those marked uneven change within the picture, so
that two pieces of one picture may honestly differ.
"""

from typing import NamedTuple


class Texture(NamedTuple):
    """One photograph: its name here, the package and the file in it, its licence, whether it looks alike all over."""

    name: str
    package: str
    file: str
    licence: str
    even: bool = True


WHEEL = "scikit-image"
UFO = "ufoai-textures"
LUGARU = "lugaru-data"

# The archive in which a Debian package keeps its pictures, where it does, and the folder of them.
FOLDERS = {
    UFO: ("./usr/share/games/ufoai/base/0textures.pk3", "textures/"),
    LUGARU: (None, "./usr/share/games/lugaru/Textures/"),
}

TEXTURES = [
    Texture("brick", WHEEL, "brick.png", "CC0", even=False),
    Texture("grass", WHEEL, "grass.png", "CC0"),
    Texture("gravel", WHEEL, "gravel.png", "CC0"),
    Texture("moss", LUGARU, "MossRock.jpg", "CC-BY-SA-3.0", even=False),
    Texture("rock", LUGARU, "Rock.jpg", "CC-BY-SA-3.0"),
    Texture("sand", LUGARU, "Sand.jpg", "CC-BY-SA-3.0"),
    Texture("sandstone", LUGARU, "GrassBox.jpg", "CC-BY-SA-3.0", even=False),
    Texture("snow", LUGARU, "Snow.jpg", "CC-BY-SA-3.0"),
    Texture("asphalt", UFO, "tex_ctp1/concrete_g_6.jpg", "GPL-2"),
    Texture("clay", UFO, "tex_nature/desert005.png", "GPL-2", even=False),
    Texture("cliff", UFO, "tex_nature/desert002.png", "GPL-2", even=False),
    Texture("concrete", UFO, "tex_ctp1/concrete_g_8.jpg", "GPL-2"),
    Texture("cracks", UFO, "tex_mattn/rock001.png", "GPL-2+"),
    Texture("hay", UFO, "tex_ctp1/ground_b_2.jpg", "GPL-2"),
    Texture("hedge", UFO, "tex_ctp1/hedge02.jpg", "GPL-2"),
    Texture("lawn", UFO, "tex_ctp1/grass_g_7.jpg", "GPL-2"),
    Texture("ledges", UFO, "tex_nature/rock017.png", "public domain", even=False),
    Texture("ripples", UFO, "tex_nature/desert009.png", "public domain"),
    Texture("rust", UFO, "tex_mattn/rust2.jpg", "GPL-2+"),
    Texture("slate", UFO, "tex_nature/stone001.png", "public domain", even=False),
    Texture("terrazzo", UFO, "tex_ctp1/concrete_g_7.jpg", "GPL-2"),
    Texture("undergrowth", UFO, "tex_nature/jungle002.png", "public domain"),
]
