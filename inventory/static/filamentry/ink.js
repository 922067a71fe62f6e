// Lets the reader overrule the device's light or dark. The choice is kept in a cookie so that the server
// can write it into <html data-ink> and the next page does not flash. Without this script nothing is lost.
(function () {
  "use strict";
  var box = document.querySelector(".ink-switch");
  if (!box) { return; }
  var root = document.documentElement;
  function show() {
    box.querySelectorAll("button").forEach(function (button) {
      button.setAttribute("aria-pressed", String(button.value === (root.dataset.ink || "")));
    });
  }
  box.addEventListener("click", function (event) {
    var button = event.target.closest("button");
    if (!button) { return; }
    if (button.value) { root.dataset.ink = button.value; } else { delete root.dataset.ink; }
    document.cookie = "ink=" + button.value + ";path=/;samesite=lax;max-age=" + (button.value ? 31536000 : 0);
    show();
  });
  box.hidden = false;
  show();
}());
