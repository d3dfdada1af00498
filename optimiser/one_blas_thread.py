"""Dense algebra on one thread: ours is small, gets in its own way on several, and its last digits depend on how many."""

from threadpoolctl import threadpool_limits

one_blas_thread = threadpool_limits.wrap(limits=1, user_api="blas")
