// The solid view: the server's own model and its own poses; nothing is worked out here but the picture.
import * as THREE from "three";
import { OrbitControls } from "./vendor/controls/OrbitControls.js";

const box = document.getElementById("solid");
const stage = box.querySelector(".stage");
const sliders = ["angle", "trip", "oscillation"].map((name) => document.getElementById(name));
const said = document.getElementById("pose-said");
const colour = (name) => new THREE.Color(getComputedStyle(document.documentElement).getPropertyValue(name).trim());

const finishes = {
  body: new THREE.MeshStandardMaterial({ color: 0x4f7942, roughness: 0.75, side: THREE.DoubleSide }),
  frame: new THREE.MeshStandardMaterial({ color: 0x4a4d50, roughness: 0.75, side: THREE.DoubleSide }),
  bare: new THREE.MeshStandardMaterial({ color: 0x9a9c9b, roughness: 0.55, side: THREE.DoubleSide }),
};

// An outline pushed along its third axis between two planes, which may be mitred.
function pushed({ loops, start, end, place }) {
  const rings = loops.map((loop) => loop.map(([u, v]) => new THREE.Vector2(u, v)));
  if (THREE.ShapeUtils.isClockWise(rings[0])) rings[0].reverse();
  for (const hole of rings.slice(1)) if (!THREE.ShapeUtils.isClockWise(hole)) hole.reverse();
  const faces = THREE.ShapeUtils.triangulateShape(rings[0], rings.slice(1));
  const flat = rings.flat();
  const at = (p, plane) => [p.x, p.y, plane[0] + plane[1] * p.x + plane[2] * p.y];
  const points = [];
  for (const [a, b, c] of faces) {
    points.push(...at(flat[c], start), ...at(flat[b], start), ...at(flat[a], start));
    points.push(...at(flat[a], end), ...at(flat[b], end), ...at(flat[c], end));
  }
  for (const ring of rings) ring.forEach((p, k) => {
    const q = ring[(k + 1) % ring.length];
    points.push(...at(p, start), ...at(q, start), ...at(q, end), ...at(p, start), ...at(q, end), ...at(p, end));
  });
  const geometry = new THREE.BufferGeometry();
  geometry.setAttribute("position", new THREE.Float32BufferAttribute(points, 3));
  geometry.applyMatrix4(new THREE.Matrix4().fromArray(place));
  geometry.computeVertexNormals();
  return geometry;
}

function begin() {
  const canvas = document.createElement("canvas");
  let renderer;
  try {
    renderer = new THREE.WebGLRenderer({ canvas, antialias: true, preserveDrawingBuffer: true });
  } catch {
    for (const slider of sliders) slider.disabled = true;
    return;
  }
  canvas.tabIndex = 0;
  canvas.setAttribute("role", "img");
  canvas.setAttribute("aria-label", "The blade in depth. Arrow keys turn it, plus and minus come nearer and go back.");
  stage.replaceChildren(canvas);
  const scene = new THREE.Scene();
  const camera = new THREE.PerspectiveCamera(32, 16 / 9, 0.05, 60);
  camera.up.set(0, 0, 1);
  camera.position.set(-2.1, 2.6, 1.9);
  const orbit = new OrbitControls(camera, canvas);
  orbit.enableDamping = false;
  orbit.target.set(0.75, 0, 0.3);
  const sky = new THREE.HemisphereLight(0xffffff, 0x8a8672, 2.2);
  sky.position.set(0, 0, 1);
  const sun = new THREE.DirectionalLight(0xffffff, 1.6);
  sun.position.set(4, 3, 6);
  scene.add(sky, sun);
  const ground = new THREE.GridHelper(6, 20);
  ground.rotation.x = Math.PI / 2;
  scene.add(ground);
  let parts = new Map();
  let model = null;
  let framed = false;
  let lit = new Set();

  const draw = () => {
    const { clientWidth: w, clientHeight: h } = canvas;
    if (canvas.width !== w || canvas.height !== h) { renderer.setSize(w, h, false); camera.aspect = w / Math.max(1, h); camera.updateProjectionMatrix(); }
    renderer.render(scene, camera);
    box.dataset.drawn = String(Number(box.dataset.drawn || 0) + 1);
  };
  const paint = () => {
    scene.background = colour("--tint");
    for (const material of [ground.material].flat()) { material.vertexColors = false; material.color = colour("--hair"); material.needsUpdate = true; };
    for (const [id, node] of parts) node.traverse((mesh) => {
      if (!mesh.isMesh) return;
      mesh.userData.own ??= mesh.material;
      mesh.material = lit.has(id) ? new THREE.MeshStandardMaterial({ color: colour("--accent"), roughness: 0.7 }) : mesh.userData.own;
    });
    draw();
  };
  const place = (places) => {
    for (const [id, values] of Object.entries(places)) {
      const node = parts.get(id);
      if (!node) continue;
      node.matrixAutoUpdate = false;
      node.matrix.fromArray(values);
      node.matrixWorldNeedsUpdate = true;
    }
    box.dataset.pose = sliders.map((s) => s.value).join(" ");
    draw();
  };
  const words = () => {
    for (const slider of sliders) {
      const [under, rest, over] = slider.dataset.words.split("|");
      const value = Number(slider.value);
      document.getElementById(`${slider.id}-said`).textContent = value === 0 ? rest : `${Math.abs(value)} deg ${value < 0 ? under : over}`;
    }
  };
  let asking = false;
  let again = false;
  const pose = async () => {
    words();
    if (asking) { again = true; return; }
    asking = true;
    const query = sliders.map((s) => `${s.id}=${s.value}`).join("&");
    try {
      const answer = await fetch(`/blade/pose?${box.dataset.query}&${query}`);
      const found = await answer.json();
      if (answer.ok) { place(found.places); said.textContent = found.said; } else { said.textContent = found.said; }
    } catch { said.textContent = "The shop's computer does not answer."; }
    asking = false;
    if (again) { again = false; pose(); }
  };
  const load = async () => {
    const answer = await fetch(`/blade/shapes?${box.dataset.query}`).catch(() => null);
    if (!answer || !answer.ok) { said.textContent = "The solid model could not be read; the drawing above holds."; return; }
    const found = await answer.json();
    if (model) { scene.remove(model); model.traverse((mesh) => { if (mesh.isMesh) mesh.geometry.dispose(); }); }
    model = new THREE.Group();
    parts = new Map();
    for (const part of found.parts) {
      const node = new THREE.Group();
      for (const shape of part.solids) node.add(new THREE.Mesh(pushed(shape), finishes[part.finish]));
      parts.set(part.id, node);
      model.add(node);
    }
    scene.add(model);
    if (!framed) {
      const ball = new THREE.Box3().setFromObject(model).getBoundingSphere(new THREE.Sphere());
      const arm = new THREE.Vector3(-1.5, 1.5, 1.15).setLength(2.9 * ball.radius);
      orbit.target.copy(ball.center);
      camera.position.copy(ball.center).add(arm);
      orbit.update();
      framed = true;
    }
    paint();
    box.dataset.parts = String(parts.size);
    if (sliders.some((s) => Number(s.value))) pose();
  };

  for (const slider of sliders) slider.addEventListener("input", pose);
  document.getElementById("rest").addEventListener("click", () => { for (const s of sliders) s.value = 0; pose(); });
  orbit.addEventListener("change", draw);
  canvas.addEventListener("keydown", (event) => {
    const turn = { ArrowLeft: [-0.1, 0], ArrowRight: [0.1, 0], ArrowUp: [0, -0.08], ArrowDown: [0, 0.08] }[event.key];
    const nearer = { "+": 0.9, "=": 0.9, "-": 1.1 }[event.key];
    if (!turn && !nearer) return;
    event.preventDefault();
    const arm = camera.position.clone().sub(orbit.target);
    const ball = new THREE.Spherical().setFromVector3(new THREE.Vector3(arm.x, arm.z, -arm.y));
    if (turn) { ball.theta += turn[0]; ball.phi = Math.min(1.65, Math.max(0.15, ball.phi + turn[1])); }
    if (nearer) ball.radius = Math.min(12, Math.max(0.8, ball.radius * nearer));
    const at = new THREE.Vector3().setFromSpherical(ball);
    camera.position.set(orbit.target.x + at.x, orbit.target.y - at.z, orbit.target.z + at.y);
    orbit.update();
    draw();
  });
  new ResizeObserver(draw).observe(canvas);
  document.addEventListener("sheet", paint);
  document.addEventListener("blade", load);
  document.addEventListener("parts", (event) => { lit = new Set(event.detail); paint(); });
  load();
}
if (box) begin();
