import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models

from inventory.lists.migrations._from_exchange import AddConstraintOnce, AddFieldOnce, TakeOrMake, take_names


class Migration(migrations.Migration):

    initial = True

    dependencies = [
        ('holdings', '0002_depth'),
        ('contenttypes', '0002_remove_content_type_name'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.RunPython(take_names, migrations.RunPython.noop),
        TakeOrMake(
            name='ImportMapping',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('name', models.CharField(max_length=80, unique=True)),
                ('columns', models.JSONField(help_text='Heading to meaning.')),
                ('options', models.JSONField(blank=True, default=dict)),
                ('saved_at', models.DateTimeField(auto_now=True)),
            ],
            options={
                'ordering': ['name'],
            },
        ),
        TakeOrMake(
            name='ImportRow',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('row', models.PositiveIntegerField()),
                ('line', models.PositiveIntegerField()),
                ('cells', models.JSONField()),
                ('outcome', models.CharField(db_index=True, max_length=24)),
                ('remarks', models.JSONField(default=list)),
                ('question', models.JSONField(blank=True, default=dict)),
                ('answered_at', models.DateTimeField(blank=True, null=True)),
            ],
            options={
                'ordering': ['run', 'row'],
            },
        ),
        TakeOrMake(
            name='ImportMade',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('facts', models.JSONField(blank=True, default=dict)),
                ('item', models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, related_name='import_made', to='holdings.item')),
                ('row', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='made', to='lists.importrow')),
            ],
        ),
        TakeOrMake(
            name='ImportRun',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('file_name', models.CharField(max_length=200)),
                ('digest', models.CharField(db_index=True, max_length=64)),
                ('state', models.CharField(choices=[('trial', 'trial run'), ('written', 'written'), ('undone', 'undone')], max_length=8)),
                ('heading', models.JSONField(default=list)),
                ('columns', models.JSONField(default=dict)),
                ('options', models.JSONField(default=dict)),
                ('counts', models.JSONField(default=dict)),
                ('at', models.DateTimeField(auto_now_add=True)),
                ('undone_at', models.DateTimeField(blank=True, null=True)),
                ('by', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['-id'],
            },
        ),
        AddFieldOnce(
            model_name='importrow',
            name='run',
            field=models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='rows', to='lists.importrun'),
        ),
        AddConstraintOnce(
            model_name='importrow',
            constraint=models.UniqueConstraint(fields=('run', 'row'), name='one_line_per_row_of_a_run'),
        ),
    ]
