"""Where layouts, jobs and plans are kept. Knows rows and transactions, not what a job means."""
