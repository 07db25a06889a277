"""Files with bytes changed, cut and doubled, as a bad connection or a wrong key makes them."""

from random import Random


def mutated(content: bytes, draw: Random, most: int) -> bytes:
    """The content with one to ``most`` changes; it may be empty then."""
    changed = bytearray(content)
    for _ in range(draw.randint(1, most)):
        if not changed:
            break
        place = draw.randrange(len(changed))
        match draw.randrange(4):
            case 0:
                changed[place] = draw.randrange(256)
            case 1:
                del changed[place : place + draw.randint(1, 30)]
            case 2:
                changed[place:place] = bytes(draw.choice(b',;"\n\r\t\x00-.:0') for _ in range(3))
            case _:
                changed[place:place] = changed[max(0, place - 40) : place]
    return bytes(changed)
