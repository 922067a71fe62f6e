"""Addresses of the valuation area."""

from django.urls import path

from inventory.valuation import api
from inventory.valuation.views import collection, estate, estimates, evidence, lots, method, papers, wants

urlpatterns = [
    path("prices/", evidence.prices, name="prices"),
    path("prices/note/", evidence.note, name="note"),
    path("prices/settle/", evidence.evidence_settle, name="evidence-settle"),
    path("prices/add/", evidence.evidence_add, name="evidence-add"),
    path("prices/<int:pk>/", evidence.evidence_change, name="evidence-change"),
    path("prices/<int:pk>/strike/", evidence.evidence_strike, name="evidence-strike"),
    path("value/", collection.collection_page, name="collection"),
    path("value/of/", estimates.estimate_page, name="estimate"),
    path("value/method/", method.method_page, name="method"),
    path("value/keep/", collection.appraisal_keep, name="appraisal-keep"),
    path("value/ask/", estate.asking, name="asking"),
    path("value/ask/add/", estate.contact_add, name="contact-add"),
    path("value/ask/<int:pk>/", estate.contact_change, name="contact-change"),
    path("value/ask/<int:pk>/strike/", estate.contact_strike, name="contact-strike"),
    path("things/<str:tag>/promise/", estate.promise_add, name="promise-add"),
    path("value/promises/<int:pk>/", estate.promise_change, name="promise-change"),
    path("value/promises/<int:pk>/strike/", estate.promise_strike, name="promise-strike"),
    path("sales/", lots.sale_list, name="sales"),
    path("sales/keep/", lots.sale_keep, name="sale-keep"),
    path("sales/<int:pk>/", lots.sale, name="sale"),
    path("sales/<int:pk>/pdf/", lots.sale_pdf, name="sale-pdf"),
    path("sales/<int:pk>/change/", lots.sale_change, name="sale-change"),
    path("sales/lots/<int:pk>/change/", lots.lot_change, name="lot-change"),
    path("sales/lots/<int:pk>/sold/", lots.lot_sold, name="lot-sold"),
    path("sales/lots/<int:pk>/price/", lots.lot_price, name="lot-price"),
    path("sales/lots/<int:pk>/end/", lots.lot_end, name="lot-end"),
    path("sales/lots/<int:pk>/strike/", lots.lot_strike, name="lot-strike"),
    path("api/sales/<int:pk>", lots.api_sale, name="api-sale"),
    path("value/papers/<slug:key>/", papers.paper, name="paper"),
    path("value/papers/<slug:key>/pdf/", papers.paper_pdf, name="paper-pdf"),
    path("api/paper/<slug:key>", papers.api_paper, name="api-paper"),
    path("appraisals/", collection.appraisal_list, name="appraisals"),
    path("appraisals/beside/", collection.appraisals_beside, name="appraisals-beside"),
    path("appraisals/<int:pk>/", collection.appraisal_page, name="appraisal"),
    path("appraisals/<int:pk>/strike/", collection.appraisal_strike, name="appraisal-strike"),
    path("api/top-price", api.top_price, name="api-top-price"),
    path("api/estimate", api.estimate_of, name="api-estimate"),
    path("api/appraise", api.appraise, name="api-appraise"),
    path("api/prices", api.prices, name="api-prices"),
]

want_pages = [
    path("wants/", wants.want_list, name="want-list"),
    path("wants/add/", wants.want_add, name="want-add"),
    path("wants/<int:pk>/", wants.want_change, name="want-change"),
    path("wants/<int:pk>/settle/", wants.want_settle, name="want-settle"),
    path("wants/<int:pk>/top-price/", wants.want_top_price, name="want-top-price"),
]

addresses = {"valuation": urlpatterns, "holdings": want_pages}
