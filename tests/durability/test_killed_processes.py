"""kill -9 at any moment, of whoever works: nothing accepted is lost, nothing is done to a second result."""

from __future__ import annotations

from collections.abc import Callable

from benchmarks.durability.broken_off_runs import break_off_forked_runs
from benchmarks.durability.finding import Finding
from benchmarks.durability.killed_holders import kill_holders
from benchmarks.durability.killed_migrations import kill_migrations
from benchmarks.durability.killed_readers import kill_readers
from benchmarks.durability.killed_services import kill_between_commit_and_reply, kill_forked_services
from benchmarks.durability.killed_workers import kill_workers
from benchmarks.durability.place import Place
from benchmarks.durability.stopped_holders import stop_holders

Bears = Callable[..., Finding]


def test_whoever_holds_attempts_may_be_killed_while_jobs_are_drained(place: Place, bears: Bears) -> None:
    """Four jobs for each kill, of three kinds: all are done, each once."""
    bears(kill_holders, place, 20)


def test_a_request_whose_answer_was_killed_is_sent_again_with_its_key(place: Place, bears: Bears) -> None:
    """One run for each Idempotency-Key, wherever in the request the service was killed."""
    bears(kill_forked_services, place, 3)


def test_an_answer_that_nobody_heard_is_given_again(place: Place, bears: Bears) -> None:
    """The service is killed after the commit and before its reply, each time."""
    bears(kill_between_commit_and_reply, place, 3)


def test_the_worker_itself_may_be_killed_and_leaves_no_process(embedded_place: Place, bears: Bears) -> None:
    """`tapcall work`, killed anywhere from its start to well into its work."""
    bears(kill_workers, embedded_place, 2, longest_s=5.0)


def test_whoever_stood_still_past_the_lease_comes_too_late(place: Place, bears: Bears) -> None:
    """SIGSTOP, another does the job, SIGCONT: the late result is refused."""
    bears(stop_holders, place, 4)


def test_a_run_that_is_broken_off_goes_on_where_it_was(place: Place, bears: Bears) -> None:
    """Items that were settled before the kill are not played again."""
    bears(break_off_forked_runs, place, 2)


def test_readers_may_be_killed_at_work_and_idle(embedded_place: Place, bears: Bears) -> None:
    """What was being read is read by another; a pool without a live process is replaced."""
    bears(kill_readers, embedded_place, 2)


def test_a_migration_that_is_killed_leaves_the_store_as_it_was(embedded_place: Place, bears: Bears) -> None:
    """The next start goes through, and every row is there."""
    bears(kill_migrations, embedded_place, 3)
