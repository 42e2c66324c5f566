import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    initial = True

    dependencies = [
    ]

    operations = [
        migrations.CreateModel(
            name='Throttle',
            fields=[
                ('key', models.CharField(max_length=64, primary_key=True, serialize=False)),
                ('next_at', models.FloatField()),
            ],
        ),
        migrations.CreateModel(
            name='Change',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('at', models.DateTimeField(db_index=True)),
                ('asker', models.CharField(max_length=60)),
                ('door', models.CharField(blank=True, max_length=80)),
                ('request_id', models.CharField(blank=True, max_length=40)),
                ('action', models.CharField(max_length=20)),
                ('group', models.CharField(blank=True, db_index=True, max_length=40)),
                ('subject', models.CharField(max_length=60)),
                ('subject_id', models.CharField(max_length=40)),
                ('site', models.BigIntegerField(blank=True, db_index=True, null=True)),
                ('before', models.JSONField(default=dict)),
                ('after', models.JSONField(default=dict)),
                ('private', models.JSONField(blank=True, null=True)),
            ],
            options={
                'indexes': [models.Index(fields=['subject', 'subject_id', 'at'], name='change_of_subject')],
                'constraints': [models.CheckConstraint(condition=models.Q(('asker__length__lte', 60)), name='change_asker_is_short_enough'), models.CheckConstraint(condition=models.Q(('door__length__lte', 80)), name='change_door_is_short_enough'), models.CheckConstraint(condition=models.Q(('request_id__length__lte', 40)), name='change_request_id_is_short_enough'), models.CheckConstraint(condition=models.Q(('action__length__lte', 20)), name='change_action_is_short_enough'), models.CheckConstraint(condition=models.Q(('group__length__lte', 40)), name='change_group_is_short_enough'), models.CheckConstraint(condition=models.Q(('subject__length__lte', 60)), name='change_subject_is_short_enough'), models.CheckConstraint(condition=models.Q(('subject_id__length__lte', 40)), name='change_subject_id_is_short_enough')],
            },
        ),
        migrations.CreateModel(
            name='Firm',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('version', models.PositiveIntegerField(default=1)),
                ('removed_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('name', models.CharField(max_length=200)),
                ('address', models.CharField(blank=True, max_length=200)),
                ('telephone', models.CharField(blank=True, max_length=40)),
                ('zone', models.CharField(default='America/Los_Angeles', max_length=64)),
                ('units', models.CharField(choices=[('trade', 'feet, inches, gallons'), ('metric', 'metres, litres')], default='trade', max_length=10)),
                ('quiet_from', models.TimeField(default='20:00')),
                ('quiet_until', models.TimeField(default='08:00')),
                ('answer_wanted_days', models.PositiveSmallIntegerField(default=7)),
                ('get_ready_days', models.PositiveSmallIntegerField(default=2)),
                ('bucket_test_days', models.PositiveSmallIntegerField(default=91)),
                ('asks_a_year', models.PositiveSmallIntegerField(default=6)),
                ('dead_of_100', models.FloatField(blank=True, null=True)),
                ('target_yard', models.FloatField(default=0.2)),
                ('target_near_structure', models.FloatField(default=0.1)),
                ('target_living_space', models.FloatField(default=0.05)),
                ('season_rule', models.CharField(choices=[('chance', 'by chance'), ('gap', 'by gap')], default='chance', max_length=10)),
                ('is_demo', models.BooleanField(default=False)),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('id', 1)), name='there_is_one_firm'), models.CheckConstraint(condition=models.Q(('name__length__lte', 200)), name='firm_name_is_short_enough'), models.CheckConstraint(condition=models.Q(('address__length__lte', 200)), name='firm_address_is_short_enough'), models.CheckConstraint(condition=models.Q(('telephone__length__lte', 40)), name='firm_telephone_is_short_enough'), models.CheckConstraint(condition=models.Q(('zone__length__lte', 64)), name='firm_zone_is_short_enough'), models.CheckConstraint(condition=models.Q(('units__in', ['trade', 'metric'])), name='firm_units_is_a_known_word'), models.CheckConstraint(condition=models.Q(('season_rule__in', ['chance', 'gap'])), name='firm_season_rule_is_a_known_word'), models.CheckConstraint(condition=models.Q(('dead_of_100__isnull', True), ('dead_of_100__range', (0.1, 90)), _connector='OR'), name='firm_dead_of_100_lies_in_range'), models.CheckConstraint(condition=models.Q(('target_yard__isnull', True), ('target_yard__range', (0.001, 0.9)), _connector='OR'), name='firm_target_yard_lies_in_range'), models.CheckConstraint(condition=models.Q(('target_near_structure__isnull', True), ('target_near_structure__range', (0.001, 0.9)), _connector='OR'), name='firm_target_near_structure_lies_in_range'), models.CheckConstraint(condition=models.Q(('target_living_space__isnull', True), ('target_living_space__range', (0.001, 0.9)), _connector='OR'), name='firm_target_living_space_lies_in_range'), models.CheckConstraint(condition=models.Q(('answer_wanted_days__isnull', True), ('answer_wanted_days__range', (1, 60)), _connector='OR'), name='firm_answer_wanted_days_lies_in_range'), models.CheckConstraint(condition=models.Q(('get_ready_days__isnull', True), ('get_ready_days__range', (1, 30)), _connector='OR'), name='firm_get_ready_days_lies_in_range'), models.CheckConstraint(condition=models.Q(('bucket_test_days__isnull', True), ('bucket_test_days__range', (28, 400)), _connector='OR'), name='firm_bucket_test_days_lies_in_range'), models.CheckConstraint(condition=models.Q(('asks_a_year__isnull', True), ('asks_a_year__range', (0, 50)), _connector='OR'), name='firm_asks_a_year_lies_in_range')],
            },
        ),
        migrations.CreateModel(
            name='Household',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('version', models.PositiveIntegerField(default=1)),
                ('removed_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('name', models.CharField(max_length=200)),
                ('language', models.CharField(default='en', max_length=5)),
                ('quiet_from', models.TimeField(blank=True, null=True)),
                ('quiet_until', models.TimeField(blank=True, null=True)),
                ('link_number', models.PositiveIntegerField(default=1)),
                ('asking_stopped_at', models.DateTimeField(blank=True, null=True)),
                ('asking_stopped_because', models.CharField(blank=True, max_length=200)),
                ('note', models.TextField(blank=True)),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('name__length__lte', 200)), name='household_name_is_short_enough'), models.CheckConstraint(condition=models.Q(('note__length__lte', 5000)), name='household_note_is_short_enough'), models.CheckConstraint(condition=models.Q(('asking_stopped_because__length__lte', 200)), name='household_asking_stopped_because_is_short_enough'), models.CheckConstraint(condition=models.Q(('language__in', ['en', 'es'])), name='household_language_is_a_known_word'), models.CheckConstraint(condition=models.Q(('link_number__isnull', True), ('link_number__range', (1, 1000000)), _connector='OR'), name='household_link_number_lies_in_range')],
            },
        ),
        migrations.CreateModel(
            name='Person',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('version', models.PositiveIntegerField(default=1)),
                ('removed_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('name', models.CharField(max_length=200)),
                ('note', models.TextField(blank=True)),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('name__length__lte', 200)), name='person_name_is_short_enough'), models.CheckConstraint(condition=models.Q(('note__length__lte', 5000)), name='person_note_is_short_enough')],
            },
        ),
        migrations.CreateModel(
            name='Account',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('password', models.CharField(max_length=128, verbose_name='password')),
                ('last_login', models.DateTimeField(blank=True, null=True, verbose_name='last login')),
                ('version', models.PositiveIntegerField(default=1)),
                ('removed_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('name', models.CharField(max_length=60, verbose_name='sign-in name')),
                ('role', models.CharField(choices=[('owner', 'owner'), ('dispatcher', 'dispatcher'), ('technician', 'technician')], max_length=10)),
                ('handle', models.SlugField(max_length=40)),
                ('is_active', models.BooleanField(default=True)),
                ('person', models.OneToOneField(on_delete=django.db.models.deletion.PROTECT, related_name='account', to='accounts.person')),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('name__length__lte', 60)), name='account_name_is_short_enough'), models.CheckConstraint(condition=models.Q(('handle__length__lte', 40)), name='account_handle_is_short_enough'), models.CheckConstraint(condition=models.Q(('password__length__lte', 128)), name='account_password_is_short_enough'), models.CheckConstraint(condition=models.Q(('role__in', ['owner', 'dispatcher', 'technician'])), name='account_role_is_a_known_word'), models.UniqueConstraint(condition=models.Q(('removed_at__isnull', True)), fields=('name',), name='a_sign_in_name_is_used_once'), models.UniqueConstraint(condition=models.Q(('removed_at__isnull', True)), fields=('handle',), name='a_handle_is_used_once')],
            },
        ),
        migrations.CreateModel(
            name='Seen',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('what', models.CharField(max_length=200)),
                ('first_at', models.DateTimeField()),
                ('last_at', models.DateTimeField()),
                ('person', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='+', to='accounts.person')),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('what__length__lte', 200)), name='seen_what_is_short_enough'), models.UniqueConstraint(fields=('what', 'person'), name='seen_once_a_thing_and_person')],
            },
        ),
        migrations.CreateModel(
            name='Away',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('version', models.PositiveIntegerField(default=1)),
                ('removed_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('starts_on', models.DateField()),
                ('ends_on', models.DateField()),
                ('key_holder', models.CharField(blank=True, max_length=200)),
                ('pump_is_powered', models.BooleanField(blank=True, null=True)),
                ('household', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='aways', to='accounts.household')),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('key_holder__length__lte', 200)), name='away_key_holder_is_short_enough'), models.CheckConstraint(condition=models.Q(('ends_on__isnull', True), ('ends_on__gte', models.F('starts_on')), _connector='OR'), name='away_ends_on_not_before_starts_on')],
            },
        ),
        migrations.CreateModel(
            name='OneTimeLink',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('token_hash', models.CharField(max_length=64, unique=True)),
                ('purpose', models.CharField(max_length=20)),
                ('made_at', models.DateTimeField()),
                ('expires_at', models.DateTimeField()),
                ('used_at', models.DateTimeField(blank=True, null=True)),
                ('account', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.CASCADE, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('purpose__length__lte', 20)), name='one_time_link_purpose_is_short_enough'), models.CheckConstraint(condition=models.Q(('token_hash__length__lte', 64)), name='one_time_link_token_hash_is_short_enough')],
            },
        ),
        migrations.CreateModel(
            name='Membership',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('version', models.PositiveIntegerField(default=1)),
                ('removed_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('starts_on', models.DateField()),
                ('ends_on', models.DateField(blank=True, null=True)),
                ('household', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='memberships', to='accounts.household')),
                ('person', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='memberships', to='accounts.person')),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('ends_on__isnull', True), ('ends_on__gte', models.F('starts_on')), _connector='OR'), name='membership_ends_on_not_before_starts_on'), models.UniqueConstraint(condition=models.Q(('ends_on__isnull', True), ('removed_at__isnull', True)), fields=('person', 'household'), name='a_person_is_once_in_a_household')],
            },
        ),
        migrations.CreateModel(
            name='Channel',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('version', models.PositiveIntegerField(default=1)),
                ('removed_at', models.DateTimeField(blank=True, editable=False, null=True)),
                ('kind', models.CharField(choices=[('mail', 'mail'), ('telephone', 'telephone'), ('letter', 'letter'), ('text', 'text message')], max_length=10)),
                ('address', models.CharField(max_length=254)),
                ('rank', models.PositiveSmallIntegerField(default=1)),
                ('consent_at', models.DateTimeField(blank=True, null=True)),
                ('consent_how', models.CharField(blank=True, max_length=200)),
                ('bad_since', models.DateTimeField(blank=True, null=True)),
                ('person', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='channels', to='accounts.person')),
            ],
            options={
                'constraints': [models.CheckConstraint(condition=models.Q(('address__length__lte', 254)), name='channel_address_is_short_enough'), models.CheckConstraint(condition=models.Q(('consent_how__length__lte', 200)), name='channel_consent_how_is_short_enough'), models.CheckConstraint(condition=models.Q(('kind__in', ['mail', 'telephone', 'letter', 'text'])), name='channel_kind_is_a_known_word'), models.CheckConstraint(condition=models.Q(('rank__isnull', True), ('rank__range', (1, 99)), _connector='OR'), name='channel_rank_lies_in_range'), models.UniqueConstraint(condition=models.Q(('removed_at__isnull', True)), fields=('person', 'kind', 'address'), name='a_person_has_an_address_once')],
            },
        ),
    ]
