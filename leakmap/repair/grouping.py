"""Groups of what hangs together."""

from __future__ import annotations


class Groups:
    """Numbers 0 to n - 1, joined two by two; each group is known by its lowest number."""

    def __init__(self, count: int) -> None:
        self._parent = list(range(count))

    def of(self, number: int) -> int:
        """The lowest number of the group that a number belongs to."""
        root = number
        while self._parent[root] != root:
            root = self._parent[root]
        while self._parent[number] != root:
            self._parent[number], number = root, self._parent[number]
        return root

    def join(self, a: int, b: int) -> None:
        """Make the groups of two numbers one."""
        low, high = sorted((self.of(a), self.of(b)))
        self._parent[high] = low

    def all(self) -> list[list[int]]:
        """Every group, each sorted, in the order of their lowest numbers."""
        found: dict[int, list[int]] = {}
        for number in range(len(self._parent)):
            found.setdefault(self.of(number), []).append(number)
        return list(found.values())

    def numbered(self) -> tuple[int, ...]:
        """Of each number, the number of its group; groups count from 0 in the order of their lowest numbers."""
        found: dict[int, int] = {}
        return tuple(found.setdefault(self.of(number), len(found)) for number in range(len(self._parent)))
