"""A dropped file that is not taken says why in the reader's language, below the place it was for.

A file too large, or of another kind, is refused in the browser and one too many by the server
(`ui/limits.py`): no run of the page hears of either, and the widget library says its own status
in English alone. So the browser is given the sentences with the frame (`spoken`), and the page's
head the script that says them (`SCRIPT`). It holds on to what a browser does, and of the widget
library to the name of the uploader and to the address that files are sent to.
"""

import json

import streamlit as st

from offgrid_sizing.ui.words import t_raw

SCRIPT = """
<style>
.offgrid-refused { margin: .5rem 0 0; padding-left: .6rem; border-left: 4px solid #C0392B }
[data-testid="stFileUploader"]:has(.offgrid-refused) [role="alert"]:not(.offgrid-refused) {
  display: none;  /* the same once more, in English */
}
</style>
<script>
if (!window.offgridDrops) {
  window.offgridDrops = true;
  const uploaderOf = (event) => event.target.closest?.('[data-testid="stFileUploader"]');
  let last = null, name = "", drops = 0;
  const spoken = (then) => {  // the frame brings the sentences, perhaps after the first drop
    if (window.offgridRefused) then(window.offgridRefused); else setTimeout(spoken, 100, then);
  };
  const say = (uploader, key, values) => spoken((sentences) => {
    const words = sentences[key];
    if (!uploader?.isConnected || !words) return;
    const said = document.createElement("p");
    said.className = "offgrid-refused";
    said.setAttribute("role", "alert");
    said.textContent = words.replace(/{(\\w+)}/g, (whole, each) => values[each] ?? whole);
    uploader.append(said);
  });
  const dropped = (event, files) => {
    const uploader = uploaderOf(event);
    if (!uploader || !files?.length) return;
    uploader.querySelectorAll(".offgrid-refused").forEach((one) => one.remove());
    [last, name] = [uploader, files[0].name];
    const own = uploader.textContent.match(/([\\d.]+) ?MB per file/);  // its own limit, if less
    const size = files[0].size / 2**20, mine = ++drops;
    const kinds = (uploader.querySelector("input[type=file]")?.accept ?? "").split(",")
      .map((one) => one.trim()).filter((one) => one.startsWith("."));
    spoken((sentences) => {
      if (mine !== drops) return;  // another file was dropped meanwhile
      const most = Number(own?.[1] ?? sentences.most);
      if (size > most) {
        say(uploader, "too_large", {name, size: Math.ceil(size), most});
      } else if (kinds.length && !kinds.some((one) => name.toLowerCase().endsWith(one))) {
        say(uploader, "wrong_kind", {name, kinds: kinds.join(", ")});
      }
    });
  };
  document.addEventListener("change", (event) => dropped(event, event.target.files), true);
  document.addEventListener("drop", (event) => dropped(event, event.dataTransfer?.files), true);
  const open = XMLHttpRequest.prototype.open;
  XMLHttpRequest.prototype.open = function (method, address, ...rest) {
    if (method.toUpperCase() === "PUT" && String(address).includes("/_stcore/upload_file/")) {
      const [uploader, mine] = [last, name];
      this.addEventListener("loadend", () => {
        if (this.status >= 200 && this.status < 300) return;
        say(uploader, this.status === 507 ? "full" : "not_sent", {name: mine});
      });
    }
    return open.call(this, method, address, ...rest);
  };
}
</script>
"""


def spoken() -> str:
    """The sentences of this session's language, for the browser to keep."""
    names = {name: f"{{{name}}}" for name in ("name", "size", "most", "kinds")}
    words = {
        "too_large": t_raw("common.drop_too_large", **names),
        "wrong_kind": t_raw("common.drop_wrong_kind", **names),
        "full": t_raw("common.uploads_full"),
        "not_sent": t_raw("common.drop_not_sent", **names),
        "most": st.get_option("server.maxUploadSize"),
    }
    told = json.dumps(words, ensure_ascii=False).replace("<", "\\u003c")
    return f"<script>window.offgridRefused = {told};</script>"
