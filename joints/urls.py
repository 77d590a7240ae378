"""Routes of the pages of `joints`."""

from django.urls import URLPattern, URLResolver, path

from joints.views import (
    assign,
    certificates,
    filler_lots,
    heats,
    joint,
    pieces,
    record_fit_up,
    record_pass,
    specification,
    spools,
    weld_log,
    welders,
    withdraw,
)

JOB = "jobs/<str:code>/"
JOINT = f"{JOB}joints/<uuid:joint>/"

urlpatterns: list[URLPattern | URLResolver] = [
    path(f"{JOB}weld-log/", weld_log.show_weld_log, name="weld-log"),
    path(f"{JOB}weld-log.xlsx", weld_log.send_weld_log_list, {"form": "xlsx"}, name="weld-log-xlsx"),
    path(f"{JOB}weld-log.csv", weld_log.send_weld_log_list, {"form": "csv"}, name="weld-log-csv"),
    path(JOINT, joint.show_joint, name="joint"),
    path(f"{JOINT}fit-up/", record_fit_up.record_fit_up, name="fit-up-record"),
    path(f"{JOINT}pass/", record_pass.record_pass, name="pass-record"),
    path(f"{JOINT}assign/", assign.assign, name="joint-assign"),
    path(f"{JOINT}withdraw/", withdraw.withdraw, name="record-withdraw"),
    path(f"{JOB}welders/", welders.show_welders, name="welders"),
    path(f"{JOB}welders.xlsx", welders.send_welders, {"form": "xlsx"}, name="welders-xlsx"),
    path(f"{JOB}welders.csv", welders.send_welders, {"form": "csv"}, name="welders-csv"),
    path(f"{JOB}welders/<uuid:stamp>/", welders.show_welder, name="welder"),
    path(f"{JOB}specification/", specification.show_specification, name="specification"),
    path(f"{JOB}specification/add/", specification.add_limit, name="specification-add"),
    path(f"{JOB}specification/<uuid:limit>/", specification.change_limit, name="specification-limit"),
    path(f"{JOB}heats/", heats.show_heats, name="heats"),
    path(f"{JOB}heats/<uuid:heat>/", heats.show_heat, name="heat"),
    path(f"{JOB}pieces/", pieces.show_pieces, name="pieces"),
    path(f"{JOB}pieces.xlsx", pieces.send_pieces, {"form": "xlsx"}, name="pieces-xlsx"),
    path(f"{JOB}pieces.csv", pieces.send_pieces, {"form": "csv"}, name="pieces-csv"),
    path(f"{JOB}pieces/<uuid:piece>/", pieces.show_piece, name="piece"),
    path(f"{JOB}pieces/<uuid:piece>/record/", pieces.record_piece_event, name="piece-event-record"),
    path(f"{JOB}piece-events/<uuid:event>/withdraw/", pieces.withdraw_piece_event, name="piece-event-withdraw"),
    path(f"{JOB}spools/", spools.show_spools, name="spools"),
    path(f"{JOB}spools.xlsx", spools.send_spools, {"form": "xlsx"}, name="spools-xlsx"),
    path(f"{JOB}spools.csv", spools.send_spools, {"form": "csv"}, name="spools-csv"),
    path(f"{JOB}spools/<uuid:spool>/", spools.show_spool, name="spool"),
    path(f"{JOB}spools/<uuid:spool>/record/", spools.record_spool_step, name="spool-step-record"),
    path(f"{JOB}spool-steps/<uuid:step>/withdraw/", spools.withdraw_spool_step, name="spool-step-withdraw"),
    path(f"{JOB}filler-lots/", filler_lots.show_lots, name="filler-lots"),
    path(f"{JOB}filler-lots.xlsx", filler_lots.send_lots, {"form": "xlsx"}, name="filler-lots-xlsx"),
    path(f"{JOB}filler-lots.csv", filler_lots.send_lots, {"form": "csv"}, name="filler-lots-csv"),
    path(f"{JOB}filler-lots/<uuid:lot>/", filler_lots.show_lot, name="filler-lot"),
    path(f"{JOB}filler-lots/<uuid:lot>/record/", filler_lots.record_lot_move, name="lot-move-record"),
    path(f"{JOB}lot-moves/<uuid:move>/withdraw/", filler_lots.withdraw_lot_move, name="lot-move-withdraw"),
    path(f"{JOB}heats.xlsx", heats.send_heats, {"form": "xlsx"}, name="heats-xlsx"),
    path(f"{JOB}heats.csv", heats.send_heats, {"form": "csv"}, name="heats-csv"),
    path(f"{JOB}certificates/<uuid:certificate>/", certificates.show_certificate, name="certificate"),
    path(f"{JOB}certificates/<uuid:certificate>/file/", certificates.send_certificate, name="certificate-file"),
]
