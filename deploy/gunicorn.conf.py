"""How gunicorn serves the pages; `start` adds where it listens and how many processes."""

wsgi_app = "drainservice.wsgi:application"
bind = "127.0.0.1:8765"
worker_class = "gthread"
workers = 2
threads = 4
# Ends politely: 30 s to finish what is under way.
graceful_timeout = 30
timeout = 60
keepalive = 5
# A worker is renewed now and then, so that a slow leak of memory stays small.
max_requests = 2000
max_requests_jitter = 200
# Names with underscores can pass for a proxy's headers, so they are dropped.
header_map = "drop"
limit_request_line = 4094
limit_request_fields = 60
limit_request_field_size = 8190
# The control socket would be written into the home folder, which may not exist.
control_socket_disable = True
accesslog = None
loglevel = "warning"
