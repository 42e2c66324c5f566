"""How long a drive takes: by great circle and detour, barriers, a road service, our own drives."""
