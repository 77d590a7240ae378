"""Routes of the pages of `joints`."""

from django.urls import URLPattern, URLResolver, path

from joints.views import (
    assign,
    certificates,
    heats,
    joint,
    record_fit_up,
    record_pass,
    specification,
    weld_log,
    welders,
    withdraw,
)

JOB = "jobs/<str:code>/"
JOINT = f"{JOB}joints/<uuid:joint>/"

urlpatterns: list[URLPattern | URLResolver] = [
    path(f"{JOB}weld-log/", weld_log.show_weld_log, name="weld-log"),
    path(JOINT, joint.show_joint, name="joint"),
    path(f"{JOINT}fit-up/", record_fit_up.record_fit_up, name="fit-up-record"),
    path(f"{JOINT}pass/", record_pass.record_pass, name="pass-record"),
    path(f"{JOINT}assign/", assign.assign, name="joint-assign"),
    path(f"{JOINT}withdraw/", withdraw.withdraw, name="record-withdraw"),
    path(f"{JOB}welders/", welders.show_welders, name="welders"),
    path(f"{JOB}welders/<uuid:stamp>/", welders.show_welder, name="welder"),
    path(f"{JOB}specification/", specification.show_specification, name="specification"),
    path(f"{JOB}specification/add/", specification.add_limit, name="specification-add"),
    path(f"{JOB}specification/<uuid:limit>/", specification.change_limit, name="specification-limit"),
    path(f"{JOB}heats/", heats.show_heats, name="heats"),
    path(f"{JOB}certificates/<uuid:certificate>/", certificates.show_certificate, name="certificate"),
    path(f"{JOB}certificates/<uuid:certificate>/file/", certificates.send_certificate, name="certificate-file"),
]
