"""How much a stranger's picture may take."""

MEMORY_BYTES = 512 * 1024 * 1024
"""Address space of a process that decodes, its libraries included."""
CPU_SECONDS = 10
"""For one picture."""
WALL_SECONDS = 60
"""The processor limit ends a picture long before, unless the machine is busy with much else."""
PICTURES = 100
"""After so many a process makes room for a fresh one."""
AT_ONCE = 2
WAITING = 2
"""Pictures that may wait for their turn; whoever comes then is asked to come again."""
WAIT_SECONDS = 30
"""How long a picture waits for its turn."""
MOST_UPLOAD = 1_000_000_000  # bytes; who asks has already refused what is too large
MOST_ANSWER = 200_000_000  # bytes; the largest picture taken, full of noise, comes to 70 MB
