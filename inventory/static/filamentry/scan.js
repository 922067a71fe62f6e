// Reads the code of a label by the camera where the browser has a reader of codes (Shape Detection API, W3C) and lets a
// page have the camera, which it does only over https or on this machine. Everywhere else the page says so, and the
// photograph below is read by the house. Without this script the photograph is sent by its button.
(function () {
  "use strict";
  var box = document.querySelector("[data-scan]");
  var form = document.querySelector("[data-scan-photo]");
  if (!box || !form) { return; }
  var says = box.querySelector("[data-scan-says]");
  var view = box.querySelector("[data-scan-view]");
  var begin = box.querySelector("[data-scan-begin]");
  var reads = form.querySelector("[data-scan-reads]");
  var stream = null;

  reads.textContent = "It is read as soon as it is chosen.";
  form.querySelectorAll("input[type=file]").forEach(function (photo) {
    photo.addEventListener("change", function () {
      if (!photo.files.length) { return; }
      reads.textContent = "It is being read …";
      form.requestSubmit();
    });
  });

  function tell(text) { says.textContent = text; box.hidden = false; }
  function off() {
    if (stream) { stream.getTracks().forEach(function (track) { track.stop(); }); }
    stream = null;
    view.hidden = true;
    begin.textContent = "Camera on";
  }
  function only(text) { off(); begin.hidden = true; tell(text + " Take a photograph instead: it is read all the same."); }

  // Every code in view: in which order a reader gives them says nothing of which was meant.
  function address(found) {
    var asked = new URLSearchParams();
    found.forEach(function (code) { asked.append("code", code.rawValue); });
    return location.pathname + "?" + asked;
  }

  async function look(reader) {
    while (stream) {
      var found = [];
      try { found = await reader.detect(view); } catch (fault) { /* the first frames are not there yet */ }
      if (found.length) {
        off();
        tell(found.length > 1 ? found.length + " codes in view: choose." : "Read: " + found[0].rawValue);
        // In place of this page: the way back from what was opened does not begin to scan again.
        location.replace(address(found));
        return;
      }
      await new Promise(function (resolve) { setTimeout(resolve, 150); });
    }
  }

  async function on() {
    if (stream) { off(); return; }
    try {
      var reader = new window.BarcodeDetector({ formats: ["qr_code"] });
      stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" } });
      view.srcObject = stream;
      view.hidden = false;
      await view.play();
      begin.textContent = "Camera off";
      tell("Hold the label a hand's length in front of the camera.");
      look(reader);
    } catch (fault) {
      only(fault.name === "NotAllowedError" ? "The camera was not allowed to this page." : "The camera could not be had.");
    }
  }

  if (!window.isSecureContext) {
    only("The camera is not given to a page over plain http: that needs https, or the house on this very machine.");
  } else if (!("BarcodeDetector" in window) || !navigator.mediaDevices) {
    only("This browser reads no codes by itself.");
  } else {
    window.BarcodeDetector.getSupportedFormats().then(function (formats) {
      if (formats.indexOf("qr_code") < 0) { only("This browser reads no such codes by itself."); return; }
      begin.addEventListener("click", on);
      tell("Or tap, and hold the label in front of the camera.");
      if (new URLSearchParams(location.search).has("now")) {
        history.replaceState(null, "", location.pathname);
        on();
      }
    });
  }
  window.addEventListener("pagehide", off);
}());
