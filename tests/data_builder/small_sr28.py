"""A made-up dataset of three foods in SR28's layouts, for tests that spoil it."""

from __future__ import annotations

from pathlib import Path

FULL = {
    "FOOD_DES.txt": [
        "~01001~^~0100~^~Turnip, made up, raw~^~TURNIP~^~neep~^~~^~Y~^~Skin~^14^~Brassica~"
        "^6.25^2.44^8.37^3.57",
        "~01002~^~0100~^~Turnip, made up, cooked~^~TURNIP,CKD~^~~^~~^~Y~^~~^0^~~^^^^",
        "~02001~^~0200~^~Entrée, made up~^~ENTREE~^~~^~A maker~^~~^~~^^~~^^^^",
    ],
    "FD_GROUP.txt": ["~0100~^~Roots~", "~0200~^~Meals~"],
    "NUTR_DEF.txt": [
        "~203~^~g~^~PROCNT~^~Protein~^~2~^600",
        "~204~^~g~^~FAT~^~Total lipid (fat)~^~2~^800",
        "~205~^~g~^~CHOCDF~^~Carbohydrate, by difference~^~2~^1100",
        "~207~^~g~^~ASH~^~Ash~^~2~^1000",
        "~208~^~kcal~^~ENERC_KCAL~^~Energy~^~0~^300",
        "~255~^~g~^~WATER~^~Water~^~2~^100",
        "~257~^~g~^~~^~Adjusted Protein~^~2~^700",
        "~313~^~µg~^~FLD~^~Fluoride, F~^~1~^6240",
        "~324~^~IU~^~VITD~^~Vitamin D~^~0~^8750",
        "~328~^~µg~^~VITD~^~Vitamin D (D2 + D3)~^~1~^8700",
        "~501~^~g~^~TRP_G~^~Tryptophan~^~3~^16300",
    ],
    "SRC_CD.txt": ["~1~^~Analytical~", "~4~^~Calculated~", "~7~^~Assumed zero~"],
    "DERIV_CD.txt": ["~A~^~Analytical data~", "~NC~^~Calculated~", "~Z~^~Assumed zero~"],
    "WEIGHT.txt": [
        "~01001~^1^1^~cup, cubes~^130^4^2.5",
        "~01001~^2^0.5^~cup, mashed~^115^^",
        "~02001~^1^1^~portion~^250^^",
    ],
    "NUT_DATA.txt": [
        "~01001~^~203~^0.90^8^0.05^~1~^~A~^~~^~~^1^0.7^1.1^7^0.8^1.0^~~^~05/2004~^~~",
        "~01001~^~204~^0.10^8^^~1~^~A~^~~^~~^^^^^^^~~^~05/2004~^~~",
        "~01001~^~205~^6.43^0^^~4~^~NC~^~~^~~^^^^^^^~~^~05/2004~^~~",
        "~01001~^~207~^0.70^8^.1^~1~^~A~^~~^~~^^^^^^^~~^~05/2004~^~~",
        "~01001~^~208~^28^0^^~4~^~NC~^~~^~~^^^^^^^~~^~05/2004~^~~",
        "~01001~^~255~^91.87^8^0.12^~1~^~A~^~~^~~^^^^^^^~~^~05/2004~^~~",
        "~01001~^~328~^0.0^0^^~7~^~Z~^~~^~~^^^^^^^~~^~05/2004~^~~",
        "~01002~^~255~^93.60^0^^~4~^~~^~01001~^~~^^^^^^^~~^~05/2004~^~~",
        "~02001~^~208~^150^0^^~4~^~~^~~^~~^^^^^^^~~^~05/2004~^~~",
    ],
}


def write(folder: Path, changes: dict[str, list[str] | bytes | None] | None = None) -> Path:
    """The dataset as a folder; ``changes`` gives files other lines or bytes, None: no file."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, content in (FULL | (changes or {})).items():
        (folder / name).unlink(missing_ok=True)
        if isinstance(content, bytes):
            (folder / name).write_bytes(content)
        elif content is not None:
            (folder / name).write_bytes(("\r\n".join(content) + "\r\n").encode("latin-1"))
    return folder


def lines(name: str, number: int, old: str, new: str) -> list[str]:
    """The lines of a file with ``old`` replaced by ``new`` on line ``number``."""
    changed = list(FULL[name])
    assert old in changed[number - 1]
    changed[number - 1] = changed[number - 1].replace(old, new, 1)
    return changed
