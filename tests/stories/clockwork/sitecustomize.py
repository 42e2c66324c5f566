"""Read by each Python of the story's town as it starts: its clock is the town's, and runs on."""

import os
import time

import time_machine

AHEAD_S = float(os.environ["TOWN_IS_AHEAD_S"])
time_machine.travel(time.time() + AHEAD_S, tick=True).start()
