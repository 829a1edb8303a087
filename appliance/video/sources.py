"""Where a number comes from: written beside it, as ``SAMPLE_RATE: Annotated[int, Source(...)] = 13_500_000``.

``typing.get_type_hints(module, include_extras=True)`` gives the sources back; the tests walk them.
"""

from dataclasses import dataclass

DOCUMENTS: dict[str, str] = {
    "ITU-R BT.470": "Conventional television systems",
    "ITU-R BT.601": "Studio encoding parameters of digital television for 4:3 and 16:9 aspect ratios",
    "ITU-R BT.1702": "Guidance for the reduction of photosensitive epileptic seizures caused by television",
    "ITU-R BT.1886": "Reference electro-optical transfer function for flat panel displays",
    "ITU-T J.61": "Transmission performance of television circuits",
    "SMPTE 170M": "Composite analog video signal: NTSC for studio applications",
    "SMPTE RP 145": "SMPTE C color monitor colorimetry",
    "IEC 61966-2-1": "Default RGB colour space: sRGB",
    "WCAG": "Web Content Accessibility Guidelines, W3C",
    "Linux vc4_vec.c": "The composite encoder's driver of the Raspberry Pi 0 to 4, in the Linux kernel",
}
"""Every document that a number of this package may cite, by the name it is cited under."""


@dataclass(frozen=True)
class Source:
    """The document, its edition ("" where it has none) and the clause or table row that states a number.

    ``memory`` is True where the number was written down from memory and has not been looked up in the document.
    """

    document: str
    edition: str
    clause: str
    memory: bool = False
