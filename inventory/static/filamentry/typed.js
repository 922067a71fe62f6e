// Asks before a form that was typed in is left: no page is kept by the browser, so it would be empty on the way back.
// The browser words the question. Without this script nothing is asked.
(function () {
  "use strict";
  var typed = new Set();

  function touched(event) {
    var form = event.target.form;
    if (form && form.method === "post") { typed.add(event.target); }  // what narrows a list stands in its address
  }
  function lost(field) {
    if (!field.isConnected) { return false; }
    if (field.type === "checkbox" || field.type === "radio") { return field.checked !== field.defaultChecked; }
    if (field.type === "file") { return field.files.length > 0; }
    return field.tagName === "SELECT" || field.value !== field.defaultValue;
  }

  document.addEventListener("input", touched);
  document.addEventListener("change", touched);
  // Last of all who hear it: a form that a script keeps from going stays typed in.
  window.addEventListener("submit", function (event) {
    var form = event.target;
    if (event.defaultPrevented) { return; }
    typed.forEach(function (field) { if (field.form === form) { typed.delete(field); } });
    form.querySelectorAll("[data-unsaved]").forEach(function (part) { part.removeAttribute("data-unsaved"); });
  });
  window.addEventListener("beforeunload", function (event) {
    if (document.querySelector("[data-unsaved]") || Array.from(typed).some(lost)) { event.preventDefault(); }
  });
}());
