"""Routes of the pages of `inspection`."""

from django.urls import URLPattern, URLResolver, path

from inspection.views import (
    decide_repair,
    examination_queue,
    findings,
    hold_points,
    lots,
    override,
    record_examination,
    release,
    tables,
)

JOB = "jobs/<str:code>/"
JOINT = f"{JOB}joints/<uuid:joint>/"

urlpatterns: list[URLPattern | URLResolver] = [
    path(f"{JOB}to-examine/", examination_queue.show_queue, name="examination-queue"),
    path(f"{JOB}findings/", findings.show_findings, name="findings"),
    path(f"{JOB}findings.xlsx", findings.send_findings_list, {"form": "xlsx"}, name="findings-xlsx"),
    path(f"{JOB}findings.csv", findings.send_findings_list, {"form": "csv"}, name="findings-csv"),
    path(f"{JOB}lots/", lots.show_lots, name="lots"),
    path(f"{JOB}lots/<uuid:rule>/", lots.show_lot, name="lot"),
    path(f"{JOB}lots/<uuid:rule>/pick/", lots.pick, name="lot-pick"),
    path(f"{JOB}points/", hold_points.show_points, name="hold-points"),
    path(f"{JOB}points/plan/", hold_points.show_plan, name="hold-point-plan"),
    path(f"{JOB}points/plan/add/", hold_points.add_point, name="hold-point-add"),
    path(f"{JOB}points/plan/<uuid:point>/", hold_points.change_point, name="hold-point"),
    path(f"{JOB}tables/", tables.show_tables, name="tables"),
    path(f"{JOB}tables/demand/", tables.demand, name="confirmation-demand"),
    path(f"{JOB}tables/<slug:table>/", tables.show_table, name="table"),
    path(f"{JOB}tables/<slug:table>/confirm/", tables.confirm, name="table-confirm"),
    path(f"{JOB}confirmations/<uuid:confirmation>/withdraw/", tables.withdraw, name="confirmation-withdraw"),
    path(f"{JOINT}examination/<str:method>/", record_examination.record_examination, name="examination-record"),
    path(f"{JOINT}repair/", decide_repair.decide_repair, name="repair-decide"),
    path(f"{JOINT}release/", release.release, name="joint-release"),
    path(f"{JOINT}points/", hold_points.show_points_of_joint, name="hold-points-of-joint"),
    path(f"{JOINT}points/<uuid:attendance>/withdraw/", hold_points.withdraw_attendance, name="attendance-withdraw"),
    path(f"{JOINT}override/", override.override, name="finding-override"),
]
