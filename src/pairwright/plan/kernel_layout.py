"""Where everything lies in the two arrays of the compiled decoder.

The compiled decoder reads one array of whole numbers, the *facts*, and writes another, the *books*.
Both begin with a head: counts, and where each table begins. A table is rows of a fixed width; a
name below says where in its row a value lies. So row `t` of the tasks begins at `p[TASKS] + t * TASK`,
and its family is the number `FAMILY` places on.

A *list* is a head of four (where its rows are, how many, how many fit, where the last search ended)
and rows sorted by their first value. A list that is full moves to the free end of the books, twice as long.
"""

from __future__ import annotations

from typing import Final

# head of the facts: counts
TASK_COUNT: Final = 0
BLOCK_COUNT: Final = 1
SET_COUNT: Final = 2
POOL_COUNT: Final = 3
UNIT_COUNT: Final = 4
STATION_COUNT: Final = 5
AREA_COUNT: Final = 6
SETTLED: Final = 7
# head of the facts: where tables begin
TASKS: Final = 10
WAYS: Final = 11
BEFORES: Final = 12
HOLDS: Final = 13
OPENS: Final = 14  # holds that a task opens
CLOSES: Final = 15
BLOCKS: Final = 16
MEMBERS: Final = 17  # tasks of a block
NEXTS: Final = 18  # blocks that wait for a block
STATIONS: Final = 19
TIMES: Final = 20
PEOPLE: Final = 21  # of each crew
PLACES: Final = 22  # of each pool
TRANSPORT: Final = 23
ORDERS: Final = 24  # order of each set
FACTS_HEAD: Final = 25

# a task: where its rows in other tables begin (they end where the next task's begin), what it is
TASK: Final = 14
T_WAYS: Final = 0
T_BEFORE: Final = 1
T_OPENS: Final = 2
T_CLOSES: Final = 3
FAMILY: Final = 4
LOAD: Final = 5
WORD: Final = 6
PAUSE: Final = 7
KEEPS: Final = 8
MATE: Final = 9
WITHIN: Final = 10
BLOCK_OF: Final = 11
ROW_IN_BLOCK: Final = 12
SET_OF: Final = 13

WAY: Final = 8
W_STATION: Final = 0
W_CREW: Final = 1
W_PEOPLE: Final = 2
W_MINUTES: Final = 3
W_TIME: Final = 4
W_SETTER: Final = 5  # the crew of the setup
W_SETTING: Final = 6  # working time of the setup
W_AREA: Final = 7

BEFORE: Final = 5
B_TASK: Final = 0
B_LEAST: Final = 1
B_LONGEST: Final = 2
B_BROUGHT: Final = 3
B_NEXT: Final = 4

HOLD: Final = 6
H_POOL: Final = 0
H_NEED: Final = 1
H_OPENER: Final = 2
H_CLOSER: Final = 3
H_AT_END: Final = 4
H_OWNER: Final = 5  # task of the operation that holds

BLOCK: Final = 7
K_MEMBERS: Final = 0
K_SET: Final = 1
K_KIND: Final = 2
K_WAITS: Final = 3
K_NEXTS: Final = 4
K_SIDE: Final = 5  # of the first task's item, for another order after a lock
K_DEPTH: Final = 6

STATION: Final = 9
S_UNITS: Final = 0
S_KIND: Final = 1
S_CAPACITY: Final = 2
S_PITCH: Final = 3
S_FILL: Final = 4
S_MANNED: Final = 5
S_SETUP: Final = 6  # where its setup times lie, -1: none
S_STOPS: Final = 7  # where its stops lie: starts, then ends
S_STOP_COUNT: Final = 8

TIME: Final = 4
C_AT: Final = 0  # where the intervals lie: start, end, worked before
C_COUNT: Final = 1
C_SHELVES: Final = 2  # where the first interval that ends after each shelf's beginning stands
C_LAST: Final = 3  # number of the last shelf
INTERVAL: Final = 3
SHELF: Final = 10  # a shelf is 2 to the power of so many minutes

# head of the books
TOP: Final = 0  # where the free end begins
BATCH_COUNT: Final = 1
LAST_END: Final = 2
KEPT_COUNT: Final = 3
ATTEMPT: Final = 4
STACKED: Final = 5
STIRRED: Final = 6
PLACED_COUNT: Final = 7
ADMITTED: Final = 8  # sets let in
DONE_COUNT: Final = 9
BOOKED: Final = 10  # rows of tasks
HELD: Final = 11
UNITS: Final = 12  # heads of lists
CREWS: Final = 13
POOLS: Final = 14
LINES: Final = 15
WORDS: Final = 16
READY: Final = 17
WAITING: Final = 18
BATCHES: Final = 19
KEPT: Final = 20
LUCKY: Final = 21
KEYS: Final = 22  # rows of blocks
SETS: Final = 23
STACK: Final = 24
DONE: Final = 25
SIZE: Final = 26
BOOKS_HEAD: Final = 27

LIST: Final = 4
L_AT: Final = 0
L_COUNT: Final = 1
L_ROOM: Final = 2
L_HINT: Final = 3  # where the last search ended

# a row of a unit's list
ENTRY: Final = 4
E_FROM: Final = 0
E_TO: Final = 1
E_FAMILY: Final = 2
E_SETUP: Final = 3
PAIR: Final = 2  # rows of the other lists: time and use, entry and exit, start and batch

BOOKING: Final = 12
START: Final = 0
END: Final = 1
CHOSEN: Final = 2  # way
UNIT: Final = 3
SETUP_FROM: Final = 4
IN_BATCH: Final = 5
IN_AREA: Final = 6
FREED: Final = 7
FLOOR_START: Final = 8
FLOOR_END: Final = 9
ONLY_WAY: Final = 10
EARLY: Final = 11

BATCH: Final = 10
Q_START: Final = 0
Q_END: Final = 1
Q_UNIT: Final = 2
Q_STATION: Final = 3
Q_CREW: Final = 4
Q_PEOPLE: Final = 5
Q_MINUTES: Final = 6
Q_FAMILY: Final = 7
Q_LOAD: Final = 8
Q_MEMBERS: Final = 9

KEEPING: Final = 4  # task, the task whose unit is kept, when that was free before, and its entry's end

QUEUED: Final = 4  # a row of a heap: window, rank, ready time, block

KEY: Final = 5  # of a block: window, rank, ready time; blocks it waits for; the next one outside
Y_WINDOW: Final = 0
Y_RANK: Final = 1
Y_AT: Final = 2
Y_WAITS: Final = 3
Y_OUTSIDE: Final = 4

SET: Final = 5
Z_RANK: Final = 0
Z_INSIDE: Final = 1
Z_TO_PLACE: Final = 2
Z_OUTSIDE: Final = 3  # the first block outside, -1: none
Z_LINE: Final = 4  # number of the set that is let in at this place

# how a run ended
COMPLETE: Final = 0
LOCKED: Final = 1
NOWHERE_TO_GO: Final = 2
