"""The Celery application and the beat table: an alarm clock that carries no work."""

from celery import Celery
from django.conf import settings
from kombu import Queue

app = Celery("jobs")
app.conf.update(
    broker_url=settings.BROKER_URL,
    broker_connection_max_retries=None,
    broker_connection_retry_on_startup=True,
    broker_transport_options={
        "visibility_timeout": 300,
        "health_check_interval": 10,
        "socket_timeout": 10,
        "socket_connect_timeout": 5,
    },
    # Long work has a line of its own, so that a worker of its own can do it; a worker that is not
    # told which serves both.
    task_queues=[Queue("celery"), Queue("long")],
    task_default_queue="celery",
    task_routes={"jobs.tasks.run_long": {"queue": "long"}},
    task_ignore_result=True,
    task_acks_late=True,
    task_reject_on_worker_lost=False,
    # A turn takes 20 s, and the message it is at when time is up less than a lease of 120 s more.
    task_time_limit=180,
    task_soft_time_limit=150,
    worker_prefetch_multiplier=1,
    worker_max_tasks_per_child=500,
    worker_cancel_long_running_tasks_on_connection_loss=True,
    worker_soft_shutdown_timeout=10,
    timezone="UTC",
    enable_utc=True,
    # In memory: no schedule file to break. Two beats are harmless, since a tick repeats nothing.
    beat_scheduler="celery.beat:Scheduler",
    beat_schedule={
        "tick": {
            "task": "jobs.tasks.run_due",
            "schedule": settings.TICK_SECONDS,
            "options": {"expires": settings.TICK_SECONDS},
        },
        "long tick": {
            "task": "jobs.tasks.run_long",
            "schedule": max(settings.TICK_SECONDS, 15),
            "options": {"expires": max(settings.TICK_SECONDS, 15)},
        },
    },
)
app.autodiscover_tasks(["jobs"])
