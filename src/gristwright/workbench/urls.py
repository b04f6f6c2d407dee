"""The addresses of the desk."""

from __future__ import annotations

from django.contrib.auth.views import LogoutView
from django.urls import path, re_path

from gristwright.store.models.work import Kind
from gristwright.workbench.views import (
    ages,
    answers,
    bill,
    brewing,
    certificates,
    damaged,
    enquiries,
    houses,
    keeping,
    lots,
    mash,
    people,
)

HERE = "enquiries/<uuid:key>/"
ANSWER = f"{HERE}answers/<uuid:answer_key>/"
FILE = f"{HERE}certificates/<uuid:file_key>/"

handler500 = "gristwright.workbench.views.damaged.could_not_be_shown"
urlpatterns = [
    path("begin/", people.begin, name="begin"),
    path("enter/", people.Enter.as_view(), name="enter"),
    path("enter/standing/", people.standing, name="standing"),
    path("leave/", LogoutView.as_view(), name="leave"),
    path("password/", people.change_password, name="password"),
    path("theme/", people.choose_theme, name="theme"),
    path("", enquiries.list_enquiries, name="enquiries"),
    path("enquiries/start/", enquiries.start_enquiry, name="start"),
    path(HERE, bill.show_bill, name="bill"),
    path(f"{HERE}try/", bill.try_bill, name="try"),
    path(f"{HERE}asked/", bill.ask_bill, name="ask_bill"),
    path(f"{HERE}asked/out/", bill.take_bill_out, name="take_bill_out"),
    path(f"{HERE}mash/", bill.simulate, {"kind": Kind.MASH}, name="mash"),
    path(f"{HERE}mash/map/", bill.simulate, {"kind": Kind.MAP}, name="map"),
    path(f"{HERE}mash/<uuid:job_key>/", mash.follow_mash, name="follow_mash"),
    path(f"{HERE}mash/<uuid:job_key>/stop/", mash.stop_mash, name="stop_mash"),
    path(f"{HERE}ledger.csv", bill.give_ledger, name="ledger"),
    path(f"{HERE}question/", enquiries.edit_question, name="question"),
    path(f"{HERE}house/", enquiries.edit_document, {"page": "house"}, name="house"),
    path(f"{HERE}house/newest/", houses.take_newest, name="take_newest"),
    path(f"{HERE}cask/", enquiries.edit_document, {"page": "cask"}, name="cask"),
    path(f"{HERE}age/", ages.show_age, name="age"),
    path(f"{HERE}age/prices/", ages.keep_release, name="keep_release"),
    path(f"{HERE}age/claim/", ages.keep_claim, name="keep_claim"),
    path(f"{HERE}offer/", enquiries.set_offer, name="offer"),
    path(f"{HERE}changes/", enquiries.show_changes, name="changes"),
    path(f"{HERE}files/", keeping.show_keeping, name="keeping"),
    path(f"{HERE}files.zip", keeping.give_files, name="give_files"),
    path(f"{HERE}files/<str:name>", keeping.give_one, name="give_one"),
    path(f"{HERE}copy/", keeping.copy_enquiry, name="copy"),
    path(f"{HERE}archive/", keeping.archive_enquiry, name="archive"),
    path(f"{HERE}bin/", keeping.bin_enquiry, name="bin"),
    path(f"{HERE}delete/", keeping.delete_enquiry, name="delete"),
    path(f"{HERE}damaged/", damaged.show_damaged, name="damaged"),
    path(f"{HERE}damaged/out/", damaged.take_out, name="take_out_damaged"),
    path(f"{HERE}damaged/delete/", damaged.delete_kept, name="delete_kept"),
    path(f"{HERE}as-kept.zip", damaged.give_kept, name="give_kept"),
    path(f"{HERE}certificates/", certificates.list_certificates, name="certificates"),
    path(f"{HERE}certificates/send/", certificates.send_file, name="send_file"),
    path(f"{HERE}lots.csv", certificates.give_lots, name="lots"),
    path(f"{HERE}certificates/lot/<uuid:lot_key>/", lots.show_lot, name="lot"),
    path(f"{HERE}certificates/lot/type/", lots.type_lot, name="type_lot"),
    path(f"{HERE}certificates/remembered/", certificates.show_remembered, name="remembered"),
    path(f"{HERE}certificates/elsewhere/", lots.take_elsewhere, name="elsewhere"),
    path(f"{HERE}certificates/lot/<uuid:lot_key>/edit/", lots.edit_lot, name="edit_lot"),
    path(f"{HERE}certificates/lot/<uuid:lot_key>/delete/", lots.delete_lot, name="delete_lot"),
    path(f"{HERE}certificates/undo/<uuid:step_key>/", lots.undo_step, name="undo_step"),
    path(FILE, certificates.show_file, name="certificate_file"),
    path(f"{FILE}mend/", certificates.mend_file, name="mend_file"),
    path(f"{FILE}take/", certificates.take_file, name="take_file"),
    path(f"{FILE}file/", certificates.give_file, name="give_file"),
    path(f"{FILE}delete/", keeping.delete_file, name="delete_file"),
    path(f"{HERE}answers/", answers.list_answers, name="answers"),
    path(f"{HERE}forecast.pdf", brewing.give_forecast, {"kind": "pdf"}, name="forecast_pdf"),
    path(f"{HERE}forecast.json", brewing.give_forecast, {"kind": "json"}, name="forecast_json"),
    path(f"{HERE}answers/find/", answers.find_bills, name="find"),
    path(f"{HERE}jobs/<uuid:job_key>/", answers.follow_job, name="job"),
    path(f"{HERE}jobs/<uuid:job_key>/stop/", answers.stop_job, name="stop_job"),
    path(ANSWER, answers.show_answer, name="answer"),
    path(f"{ANSWER}dossier-<slug:language>.pdf", answers.give_in_language, name="give_in_language"),
    path(f"{ANSWER}decide/", answers.decide, name="decide"),
    re_path(
        r"^enquiries/(?P<key>[0-9a-f-]{36})/answers/(?P<answer_key>[0-9a-f-]{36})/dossier\.(?P<kind>pdf|json|html)$",
        answers.give_answer,
        name="give_answer",
    ),
]
