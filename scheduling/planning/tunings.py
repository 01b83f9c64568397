"""How much work each part of a solve gets, in one frozen set; tried on the bench, not derived."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Tunings:
    """The tunings of a solve; none of them changes what a plan may be or what a bound proves.

    Work is counted in rounds of ruin and recreate, time as a share of what a solve has, and how
    much a crew-day may lose as a share of the relaxation's bound.
    """

    # Rounds by job before the relaxation is begun, after a posted week fewer, and at most.
    rounds_per_job: int = 6
    rounds_per_posted_job: int = 2
    most_first_rounds: int = 600
    # A round of the relaxation, a dive, a part chosen anew count as so many rounds, and so does
    # a node of the exact choice.
    relaxation_work: int = 50
    node_work: int = 10
    # The relaxation has this share of the time before a plan near to it is looked for, and that
    # one in all.
    relaxation_time: float = 0.62
    last_relaxation_time: float = 0.9
    # Rounds after each dive, and after parts of a plan were chosen anew, how warm those are.
    dive_rounds: int = 150
    short_rounds: int = 60
    lukewarm: float = 0.3
    # So many parts are chosen anew between two searches, and so many searches between two dives.
    parts: int = 5
    dive_every: int = 8
    # Dives differ a lot: so many are begun with, fewer where they take more of the time.
    first_dives: int = 5
    dive_time: float = 0.1
    # A dive has crew-days that lose up to this share to round to.
    dive_share: float = 0.01
    # The first list for the exact choice holds crew-days that lose up to this share or less, the
    # next ones so many times more; the first is no longer than this, and later ones are not worth
    # choosing from when they are longer than that.
    first_share: float = 0.002
    wider: float = 2.5
    short_list: int = 3_000
    longest_list: int = 40_000
    # Parts of a plan are chosen anew among crew-days that lose up to this share, less where they
    # are too many.
    repack_share: float = 0.002
    longest_repack: int = 5_000
    # How often stays with two rests are taken into the relaxation and it is settled again; they
    # are left out where they lower the bound by less than this share of it.
    chain_rounds: int = 8
    small_loss: float = 0.0002
    # The bound of a relaxation that is still being solved is looked at every so many rounds, once
    # it is so near to its value: at prices that are far off too many stays seem to gain.
    bound_every: int = 6
    nearly: float = 0.03
    roughly: float = 0.3
    # How long to wait for an exact choice that was told to stop, in seconds.
    stop_seconds: float = 0.4
