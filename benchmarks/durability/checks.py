"""All checks: what is done, how often in a whole run, on which engine."""

from __future__ import annotations

from benchmarks.durability.absent_servers import leave_for_a_minute, leave_for_a_moment, restart_server
from benchmarks.durability.broken_off_runs import break_off_forked_runs, break_off_runs
from benchmarks.durability.busy_stores import lock_the_file
from benchmarks.durability.cancelled_jobs import cancel_jobs
from benchmarks.durability.clock_jumps import jump_with_holders, jump_with_tapcall_work
from benchmarks.durability.finding import Check
from benchmarks.durability.killed_holders import kill_holders
from benchmarks.durability.killed_migrations import kill_migrations
from benchmarks.durability.killed_readers import kill_readers
from benchmarks.durability.killed_services import (
    kill_between_commit_and_reply,
    kill_forked_services,
    kill_tapcall_serve,
)
from benchmarks.durability.killed_workers import kill_workers
from benchmarks.durability.poison_items import poison_items
from benchmarks.durability.poison_jobs import poison_jobs
from benchmarks.durability.stopped_holders import stop_holders

_SQLITE, _POSTGRESQL = ("SQLite",), ("PostgreSQL",)

CHECKS = (
    Check(what="kill -9 of a process that holds attempts (forked)", times=1000, do=kill_holders),
    Check(what="kill -9 of `tapcall work`, or of its attempt", times=200, do=kill_workers),
    Check(what="kill -9 of the service within requests (forked)", times=1000, do=kill_forked_services),
    Check(what="kill -9 between commit and reply (forked)", times=1000, do=kill_between_commit_and_reply),
    Check(what="kill -9 of `tapcall serve` within requests", times=20, do=kill_tapcall_serve),
    Check(what="SIGSTOP past the lease, then SIGCONT", times=200, do=stop_holders),
    Check(what="file locked by another process for 2 to 5 s", times=10, do=lock_the_file, engines=_SQLITE),
    Check(what="PostgreSQL restarted or crashed under load", times=10, do=restart_server, engines=_POSTGRESQL),
    Check(what="PostgreSQL gone for 1 to 4 s", times=5, do=leave_for_a_moment, engines=_POSTGRESQL),
    Check(what="PostgreSQL gone for a minute", times=2, do=leave_for_a_minute, engines=_POSTGRESQL),
    Check(what="clock jumps by 1 h or 1 day, with a kill (forked)", times=200, do=jump_with_holders),
    Check(what="the same with `tapcall work` and libfaketime", times=10, do=jump_with_tapcall_work),
    Check(what="poisoned jobs", times=2, do=poison_jobs),
    Check(what="poisoned items of a run", times=2, do=poison_items),
    Check(what="kill -9 of the processes that read", times=100, do=kill_readers, engines=_SQLITE),
    Check(what="kill -9 within a run over many plans (forked)", times=100, do=break_off_forked_runs),
    Check(what="kill -9 within such a run, of any of its processes", times=30, do=break_off_runs),
    Check(what="cancelling a job at any moment", times=50, do=cancel_jobs),
    Check(what="kill -9 within a migration", times=100, do=kill_migrations, engines=_SQLITE),
)
