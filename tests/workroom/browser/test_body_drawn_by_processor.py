"""What is spared where no graphics card draws leaves the picture of a body as it would be."""

from __future__ import annotations

from collections.abc import Callable

from playwright.sync_api import Page
from tests.workroom.browser.test_measure_in_browser import in_space as in_space

Opening = Callable[..., Page]

DRAWN_TWICE = """
async () => {
  const {showBody} = await import("/static/body_view.js");
  const {readBody} = await import("/static/body_data.js");
  const bytes = async path => (await fetch(path)).arrayBuffer();
  const {positions} = readBody(await bytes("/api/wearers/ostrander/body"));
  const faces = new Uint32Array(await bytes("/api/body/faces"));
  const element = document.createElement("div");
  element.style.cssText = "width: 400px; height: 500px";
  document.body.append(element);
  const view = await showBody(element, {positions, faces, sides: false});
  if (!view.plainly) return null;
  const gl = view.renderer.getContext();
  const pixels = () => {
    const [width, height] = [gl.drawingBufferWidth, gl.drawingBufferHeight];
    const found = new Uint8Array(4 * width * height);
    view.renderer.render(view.scene, view.camera);
    gl.readPixels(0, 0, width, height, gl.RGBA, gl.UNSIGNED_BYTE, found);
    return found;
  };
  const lambert = new view.three.MeshLambertMaterial({color: view.skinLook.color});
  const told = [];
  const eyes = [[-14, 6, 4200, 850], [100, -30, 900, 1100], [190, 60, 300, 1500], [45, 0, 250, 40]];
  for (const [yaw, pitch, away, z] of eyes) {
    Object.assign(view.eye, {yaw, pitch, away, centre: [40, 0, z]});
    view.drawNow();
    const spared = pixels();
    view.scene.remove(view.drawn);
    view.scene.add(view.body);
    const whole = pixels();
    view.body.material = lambert;
    const lit = pixels();
    view.body.material = view.skinLook;
    view.scene.remove(view.body);
    view.scene.add(view.drawn);
    let [skin, other, far] = [0, 0, 0];
    for (let k = 0; k < spared.length; k += 4) {
      skin += whole[k + 3] > 0;
      other += [0, 1, 2, 3].some(c => spared[k + c] !== whole[k + c]);
      far += [0, 1, 2].some(c => Math.abs(lit[k + c] - whole[k + c]) > 8);
    }
    told.push({skin, other, far, drawn: view.drawn.geometry.drawRange.count / faces.length});
  }
  return told;
}
"""


def test_a_body_looks_the_same_with_only_what_is_seen_of_it(in_space: None, open_page: Opening) -> None:
    page = open_page("/measure/ostrander")
    views = page.evaluate(DRAWN_TWICE)
    assert views, "a graphics card draws here"
    for view in views:
        assert view["skin"] > 5000
        assert view["other"] == 0
        # Light is spread over a face from its corners; on large faces of a tight curve that shows a little.
        assert view["far"] < 0.03 * view["skin"]

    assert max(view["drawn"] for view in views) < 0.7
