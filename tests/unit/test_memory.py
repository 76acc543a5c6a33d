"""What was made is held while it is used, within its bytes."""

from __future__ import annotations

from simview.memory import Memory


def memory(most: int) -> Memory[bytes]:
    return Memory(most, len)


def test_value_is_made_once_while_it_is_held() -> None:
    made: list[str] = []
    held = memory(100)

    def make() -> bytes:
        made.append("made")
        return b"value"

    assert held.get("a", make) == b"value"
    assert held.get("a", make) == b"value"
    assert made == ["made"]


def test_what_was_longest_unused_is_forgotten_first() -> None:
    held = memory(10)
    held.get("a", lambda: b"1234")
    held.get("b", lambda: b"1234")
    held.get("a", lambda: b"never")
    held.get("c", lambda: b"1234")
    assert "a" in held
    assert "b" not in held
    assert held.bytes == 8


def test_one_value_is_held_however_heavy() -> None:
    held = memory(10)
    held.get("a", lambda: b"1234")
    held.get("heavy", lambda: b"x" * 50)
    assert len(held) == 1
    assert "heavy" in held
