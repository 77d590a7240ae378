"""What a fitting is called where a person reads it; workbook, route and API name it in one word."""

_CALLED = {
    "elbow-90": "90° elbow",
    "elbow-90-short": "short 90° elbow",
    "elbow-45": "45° elbow",
    "elbow-cut": "cut elbow",
    "tee-outlet": "tee outlet",
    "half-coupling": "half coupling",
    "reducer-concentric": "concentric reducer",
    "reducer-eccentric": "eccentric reducer",
    "flange-150": "Class 150 flange",
    "flange-300": "Class 300 flange",
    "flange-weld-neck": "weld neck flange",
    "flange-slip-on": "slip-on flange",
    "flange-socket": "socket-welding flange",
    "flange-blind": "blind flange",
}


def is_flange(kind: str) -> bool:
    """Whether a piece of this kind is a flange, in whatever words a workbook has it: `flange-socket`, `SW flange`."""
    return "flange" in kind.casefold()


def fitting_called(kind: str) -> str:
    """The words for a kind of piece; what is known by no word here stands as it was written."""
    return _CALLED.get(kind, kind)
