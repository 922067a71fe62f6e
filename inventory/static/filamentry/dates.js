// Keeps a date whole at the end of a line, on the screen and on paper: some browsers break 2025-03-02 after a hyphen.
// The text stays as it is for copying and searching; only a box that does not break is put around it. Without this
// script a date may stand on two lines, and nothing is lost.
(function () {
  "use strict";
  var DATE = /\b\d{4}-\d{2}-\d{2}\b/;
  var LEFT_ALONE = "script, style, textarea, option, svg, pre, .whole-word, .date";

  function keepWhole(root) {
    var texts = document.createTreeWalker(root, NodeFilter.SHOW_TEXT, {
      acceptNode: function (node) {
        return DATE.test(node.data) && !node.parentElement.closest(LEFT_ALONE)
          ? NodeFilter.FILTER_ACCEPT : NodeFilter.FILTER_REJECT;
      }
    });
    var found = [];
    while (texts.nextNode()) { found.push(texts.currentNode); }
    found.forEach(function (node) {
      var date = DATE.exec(node.data);
      while (date) {
        var here = node.splitText(date.index);
        node = here.splitText(date[0].length);
        var box = document.createElement("span");
        box.className = "date";
        here.replaceWith(box);
        box.append(here);
        date = DATE.exec(node.data);
      }
    });
  }

  keepWhole(document.body);
  document.body.addEventListener("htmx:afterSettle", function (event) { keepWhole(event.target); });
}());
