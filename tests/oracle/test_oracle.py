#!/usr/bin/env python3
"""Holds the oracle itself against published figures and hand-worked cases. `python3 tests/oracle/test_oracle.py`."""

import unittest
from decimal import Decimal

import oracle


class PublishedFigures(unittest.TestCase):
    def test_diameters_agree_with_a_tire_makers_printed_table(self):
        # handbook tyre_dimensions.csv, rows marked seen: a tire maker's published size table.
        for size, printed in (("215/75R16C", 728), ("225/70R15C", 697), ("LT265/65R17", 776), ("265/70R17C", 804)):
            self.assertEqual(oracle.designation(size)[0], printed, size)

    def test_indices_agree_with_the_french_order_of_24_october_1994(self):
        for index, kg in ((80, 450), (100, 800), (107, 975), (115, 1215), (121, 1450), (126, 1700), (132, 2000)):
            self.assertEqual(oracle.INDEX_KG[index], kg, index)


class Logic(unittest.TestCase):
    def test_false_beats_unknown_and_unknown_beats_true(self):
        self.assertIs(oracle.k_and(True, None, False), False)
        self.assertIs(oracle.k_and(True, None), None)
        self.assertIs(oracle.k_and(True, True), True)

    def test_a_ball_without_a_radius_fails_on_a_cone_hub_and_is_unknown_on_a_ball_hub(self):
        self.assertIs(oracle.same_seat("ball", "cone 60"), False)
        self.assertIs(oracle.same_seat("ball", "ball R14"), None)

    def test_asks_is_unknown_where_a_fact_is_missing(self):
        self.assertIs(oracle.evaluate("wheel.offset >= 55 mm", {}), None)
        self.assertIs(oracle.evaluate("wheel.offset >= 55 mm or 1 mm < 1 in", {}), True)
        self.assertIs(oracle.evaluate("not 2 mm + 1 mm == 3 mm", {}), False)


class Work(unittest.TestCase):
    FACTS = {"van.a": Decimal(0), "van.b": Decimal(0), "wheel.offset": Decimal(60)}

    def cure(self, works, cured):
        return oracle.cheapest_cure(works, self.FACTS, cured)

    def test_a_cheaper_pair_beats_one_dear_work(self):
        works = [
            {"name": "both", "raises": {"van.a": "1 mm", "van.b": "1 mm"}, "costs": "10.01"},
            {"name": "a", "raises": {"van.a": "1 mm"}, "costs": "5.00"},
            {"name": "b", "raises": {"van.b": "1 mm"}, "costs": "5.00"},
        ]
        done = lambda f: f["van.a"] >= 1 and f["van.b"] >= 1  # noqa: E731
        self.assertEqual(self.cure(works, done), ["a", "b"])
        works[0]["costs"] = "10.00"  # at one price the fewer works win
        self.assertEqual(self.cure(works, done), ["both"])

    def test_a_required_work_comes_along_and_is_not_superfluous(self):
        works = [
            {"name": "studs", "sets": {"van.c": "47 mm"}, "costs": "1"},
            {"name": "nuts", "raises": {"van.a": "1 mm"}, "requires": ["studs"], "costs": "1"},
        ]
        self.assertEqual(self.cure(works, lambda f: f["van.a"] >= 1), ["studs", "nuts"])

    def test_spacers_do_not_stack(self):
        works = [{"name": n, "shifts": {"wheel.offset": "-20 mm"}, "costs": "1"} for n in ("one", "two")]
        self.assertIsNone(self.cure(works, lambda f: f["wheel.offset"] <= 20))
        self.assertEqual(self.cure(works, lambda f: f["wheel.offset"] <= 40), ["one"])

    def test_a_ring_never_makes_a_small_bore_larger(self):
        after = oracle.apply_works({"wheel.center_bore": Decimal(70)}, [{"lowers": {"wheel.center_bore": "84.1 mm"}}])
        self.assertEqual(after["wheel.center_bore"], 70)


if __name__ == "__main__":
    unittest.main()
