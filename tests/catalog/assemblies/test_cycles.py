from catalog.assemblies.cycles import closed_loop, successors


def test_an_assembly_in_itself_is_a_loop() -> None:
    assert closed_loop({}, 1, 1) == (1, 1)


def test_a_loop_through_others_is_named_in_its_order() -> None:
    assert closed_loop({2: [4, 3], 3: [1]}, 1, 2) == (1, 2, 3, 1)


def test_the_same_part_by_two_ways_is_no_loop() -> None:
    assert closed_loop({1: [2], 2: [4], 3: [4]}, 1, 3) == ()


def test_a_loop_that_is_elsewhere_does_not_keep_the_check_from_ending() -> None:
    assert closed_loop({2: [3], 3: [2]}, 1, 2) == ()


def test_pairs_are_listed_by_their_first_member() -> None:
    assert successors([(1, 2), (3, 4), (1, 5)]) == {1: [2, 5], 3: [4]}
