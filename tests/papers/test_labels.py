"""Label placement."""

from itertools import combinations

from pathproof.papers.labels import Box, LabelPlacer


def overlap(a: Box, b: Box) -> float:
    width = min(a[2], b[2]) - max(a[0], b[0])
    height = min(a[3], b[3]) - max(a[1], b[1])
    return max(width, 0.0) * max(height, 0.0)


def test_labels_of_crowded_marks_stay_apart():
    placer = LabelPlacer(100.0, 100.0)
    marks = [(40.0 + 3.0 * i, 50.0 + 3.0 * j) for i in range(3) for j in range(2)]
    placer.take([(x - 1, y - 1, x + 1, y + 1) for x, y in marks])
    boxes = [placer.place(x, y, 4.0, 3.2) for x, y in marks]
    assert all(overlap(a, b) == 0.0 for a, b in combinations(boxes, 2))


def test_a_label_keeps_off_what_is_taken():
    placer = LabelPlacer(100.0, 100.0)
    wall = (50.5, 0.0, 60.0, 100.0)
    placer.take([wall])
    assert overlap(placer.place(50.0, 50.0, 4.0, 3.0), wall) == 0.0


def test_a_label_covers_what_costs_less():
    placer = LabelPlacer(100.0, 100.0)
    placer.take([(0.0, 0.0, 50.0, 100.0)], 20.0)
    placer.take([(50.0, 0.0, 100.0, 100.0)])
    assert placer.place(50.0, 50.0, 4.0, 3.0)[0] > 50.0


def test_a_label_in_a_corner_stays_on_the_sheet():
    left, top, right, bottom = LabelPlacer(30.0, 30.0).place(29.0, 1.0, 6.0, 3.0)
    assert 0.0 <= left < right <= 30.0
    assert 0.0 <= top < bottom <= 30.0
