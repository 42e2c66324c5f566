import django.db.models.deletion
import uuid
from django.db import migrations, models


class Migration(migrations.Migration):

    initial = True

    dependencies = [
        ('accounts', '0001_build'),
        ('jobs', '0001_build'),
        ('visits', '0001_build'),
    ]

    operations = [
        migrations.CreateModel(
            name='Reminder',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, primary_key=True, serialize=False)),
                ('address', models.CharField(blank=True, max_length=254)),
                ('use', models.CharField(choices=[('offer', 'offer'), ('agreed', 'invitation'), ('moved', 'the visit has moved'), ('called_off', 'called off'), ('answer_wanted', 'answer wanted'), ('get_ready', 'get ready'), ('setting_out', 'setting out'), ('report', 'report'), ('confirmation', 'your answer, as we wrote it down'), ('not_reached', 'we could not reach the lid'), ('bucket_test', 'bucket test'), ('new_link', 'a new link')], max_length=15)),
                ('sequence', models.PositiveIntegerField(blank=True, null=True)),
                ('about', models.JSONField(default=dict)),
                ('message_id', models.CharField(max_length=200, unique=True)),
                ('subject', models.CharField(blank=True, max_length=200)),
                ('octets', models.BinaryField(blank=True, null=True)),
                ('made_at', models.DateTimeField(blank=True, null=True)),
                ('kept_here', models.BooleanField(default=False)),
                ('channel', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='reminders', to='accounts.channel')),
                ('job', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, related_name='reminder', to='jobs.job')),
                ('person', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='reminders', to='accounts.person')),
                ('visit', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='reminders', to='visits.visit')),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('address__length__lte', 254)), name='reminder_address_is_short_enough'), models.CheckConstraint(condition=models.Q(('message_id__length__lte', 200)), name='reminder_message_id_is_short_enough'), models.CheckConstraint(condition=models.Q(('subject__length__lte', 200)), name='reminder_subject_is_short_enough'), models.CheckConstraint(condition=models.Q(('use__in', ['offer', 'agreed', 'moved', 'called_off', 'answer_wanted', 'get_ready', 'setting_out', 'report', 'confirmation', 'not_reached', 'bucket_test', 'new_link'])), name='reminder_use_is_a_known_word')],
            },
        ),
        migrations.CreateModel(
            name='DeliveryEvent',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('at', models.DateTimeField()),
                ('kind', models.CharField(max_length=20)),
                ('status', models.CharField(blank=True, max_length=20)),
                ('words', models.CharField(blank=True, max_length=1000)),
                ('reminder', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='events', to='reminders.reminder')),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('kind__length__lte', 20)), name='delivery_event_kind_is_short_enough'), models.CheckConstraint(condition=models.Q(('status__length__lte', 20)), name='delivery_event_status_is_short_enough'), models.CheckConstraint(condition=models.Q(('words__length__lte', 1000)), name='delivery_event_words_is_short_enough'), models.UniqueConstraint(condition=models.Q(('reminder__isnull', False)), fields=('reminder', 'kind', 'status'), name='an_event_is_kept_once')],
            },
        ),
        migrations.CreateModel(
            name='Suppression',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('version', models.PositiveIntegerField(default=1)),
                ('removed_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('address_hash', models.CharField(max_length=64)),
                ('kind', models.CharField(max_length=10)),
                ('because', models.CharField(blank=True, max_length=200)),
                ('since_at', models.DateTimeField()),
                ('until_at', models.DateTimeField(blank=True, null=True)),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('address_hash__length__lte', 64)), name='suppression_address_hash_is_short_enough'), models.CheckConstraint(condition=models.Q(('because__length__lte', 200)), name='suppression_because_is_short_enough'), models.CheckConstraint(condition=models.Q(('kind__in', ['reminders', 'all'])), name='suppression_kind_is_a_known_word'), models.UniqueConstraint(condition=models.Q(('removed_at__isnull', True), ('until_at__isnull', True)), fields=('address_hash', 'kind'), name='an_address_is_stopped_once')],
            },
        ),
        migrations.AddIndex(
            model_name='reminder',
            index=models.Index(fields=['visit', 'sequence'], name='reminder_of_visit'),
        ),
    ]
