/* The part on its page: turned by pointer or keys, coloured by wall thickness, each place read under the pointer.
   Where this cannot run, the drawing that the page came with stays. */
import {
  BufferAttribute, BufferGeometry, Color, DirectionalLight, DoubleSide, HemisphereLight, Mesh, MeshLambertMaterial,
  OrbitControls, PerspectiveCamera, Raycaster, Scene, Vector2, Vector3, WebGLRenderer,
} from "./vendor/three.module.min.js";

const HEAD = 40, FULL = 65535, TURN = 0.12, OPENING = 32, MARGIN = 1.06;

function readPicture(bytes) {
  const view = new DataView(bytes);
  if (view.getUint32(0, false) !== 0x4f545031) throw new Error("not a picture of a part"); // OTP1
  const corners = view.getUint32(4, true), triangles = view.getUint32(8, true);
  const number = (i) => view.getFloat32(12 + 4 * i, true);
  const low = [number(0), number(1), number(2)], high = [number(3), number(4), number(5)], most = number(6);
  const places = new Uint16Array(bytes, HEAD, 3 * corners);
  const thick = new Uint16Array(bytes, HEAD + 6 * corners, corners);
  const start = Math.ceil((HEAD + 8 * corners) / 4) * 4;
  return {
    low, high,
    faces: new Uint32Array(bytes, start, 3 * triangles),
    at: (corner) => [0, 1, 2].map((i) => low[i] + (places[3 * corner + i] / FULL) * (high[i] - low[i])),
    mm: (corner) => (thick[corner] === FULL ? NaN : (thick[corner] / (FULL - 1)) * most),
  };
}

function colourOf(told, mm) {
  if (Number.isNaN(mm)) return told.rim;
  return (told.classes.find((one) => one.to === null || mm < one.to) ?? told.classes.at(-1)).colour;
}

function shape(picture, told) {
  const count = picture.faces.length;
  const places = new Float32Array(3 * count), colours = new Float32Array(3 * count), colour = new Color();
  for (let i = 0; i < count; i += 1) {
    places.set(picture.at(picture.faces[i]), 3 * i);
    colour.set(colourOf(told, picture.mm(picture.faces[i])));
    colours.set([colour.r, colour.g, colour.b], 3 * i);
  }
  const geometry = new BufferGeometry();
  geometry.setAttribute("position", new BufferAttribute(places, 3));
  geometry.setAttribute("color", new BufferAttribute(colours, 3));
  geometry.computeVertexNormals();
  return new Mesh(geometry, new MeshLambertMaterial({ vertexColors: true, side: DoubleSide, flatShading: true }));
}

// the thickest places, numbered as in the table below; returned is what puts each where it is seen
function marksOn(place, told, camera) {
  const marks = told.marks.map((one, i) => {
    const mark = document.createElement("span");
    mark.className = "part-mark";
    mark.textContent = i + 1;
    place.append(mark);
    return { mark, at: new Vector3(...one.at) };
  });
  return () => marks.forEach(({ mark, at }) => {
    const seen = at.clone().project(camera);
    mark.style.left = `${(50 * (1 + seen.x)).toFixed(2)}%`;
    mark.style.top = `${(50 * (1 - seen.y)).toFixed(2)}%`;
  });
}

// half of the width that the part has from any side: its corner that is farthest from the middle
function reachOf(part, middle) {
  const places = part.geometry.getAttribute("position"), corner = new Vector3();
  let most = 0;
  for (let i = 0; i < places.count; i += 1) most = Math.max(most, corner.fromBufferAttribute(places, i).distanceToSquared(middle));
  return Math.sqrt(most) || 1;
}

function words(mm, point) {
  const where = `x ${point.x.toFixed(1)}, y ${point.y.toFixed(1)}, z ${point.z.toFixed(1)}`;
  return Number.isNaN(mm) ? `Rim or outer corner, at ${where}` : `Wall ${mm.toFixed(2)} mm, at ${where}`;
}

async function show(place) {
  const told = JSON.parse(place.dataset.told);
  const answer = await fetch(place.dataset.picture);
  if (!answer.ok) return;
  const picture = readPicture(await answer.arrayBuffer());
  const renderer = new WebGLRenderer({ antialias: true, alpha: true });
  const middle = new Vector3(...picture.low).add(new Vector3(...picture.high)).multiplyScalar(0.5);
  const part = shape(picture, told), reach = reachOf(part, middle);
  const scene = new Scene(), camera = new PerspectiveCamera(OPENING, 1, reach / 50, 50 * reach);
  scene.add(part, new HemisphereLight(0xffffff, 0xd8d2c6, 2.4));
  const light = new DirectionalLight(0xffffff, 1.2);
  camera.up.set(0, 0, 1);
  place.hidden = false; // from here on it has a size
  const away = (MARGIN * reach) / Math.sin((OPENING * Math.PI) / 360) / Math.min(place.clientWidth / place.clientHeight, 1);
  camera.position.copy(middle).add(new Vector3(0.55, -0.75, 0.6).normalize().multiplyScalar(away));
  camera.add(light);
  scene.add(camera);
  const controls = new OrbitControls(camera, renderer.domElement);
  controls.target.copy(middle);
  controls.enablePan = false;
  controls.enableZoom = false; // the wheel scrolls the page; plus and minus bring the part nearer
  controls.minDistance = 0.3 * away;
  controls.maxDistance = 4 * away;

  const putMarks = marksOn(place, told, camera);
  const draw = () => {
    renderer.render(scene, camera);
    putMarks();
  };
  const fit = () => {
    const wide = place.clientWidth, tall = place.clientHeight;
    renderer.setPixelRatio(Math.min(window.devicePixelRatio, 2));
    renderer.setSize(wide, tall, false);
    camera.aspect = wide / tall;
    camera.updateProjectionMatrix();
    draw();
  };
  place.prepend(renderer.domElement);
  place.parentElement.classList.add("turns");
  controls.update();
  controls.addEventListener("change", draw);
  new ResizeObserver(fit).observe(place);
  fit();
  const read = reading(place, picture, told, part, camera);
  keys(place, camera, controls, draw, read);
  sides(place, camera, controls, draw);
}

function sides(place, camera, controls, draw) {
  const line = place.parentElement.querySelector(".part-sides");
  line.hidden = false;
  line.addEventListener("click", (event) => {
    const side = event.target.dataset?.side;
    if (!side) return;
    const out = camera.position.clone().sub(controls.target);
    out.z = (side === "up" ? 1 : -1) * Math.max(Math.abs(out.z), 0.5 * out.length());
    camera.position.copy(controls.target).add(out);
    controls.update();
    draw();
  });
}

function keys(place, camera, controls, draw, read) {
  place.addEventListener("keydown", (event) => {
    const out = camera.position.clone().sub(controls.target), across = new Vector3().crossVectors(camera.up, out).normalize();
    if (event.key === "ArrowLeft") out.applyAxisAngle(camera.up, -TURN);
    else if (event.key === "ArrowRight") out.applyAxisAngle(camera.up, TURN);
    else if (event.key === "ArrowUp" && out.angleTo(camera.up) > 2 * TURN) out.applyAxisAngle(across, -TURN);
    else if (event.key === "ArrowDown" && out.angleTo(camera.up) < Math.PI - 2 * TURN) out.applyAxisAngle(across, TURN);
    else if (event.key === "+" || event.key === "=") out.multiplyScalar(0.85);
    else if (event.key === "-") out.multiplyScalar(1 / 0.85);
    else return;
    event.preventDefault();
    camera.position.copy(controls.target).add(out);
    controls.update();
    draw();
    read(new Vector2(0, 0), "In the middle: ");
  });
}

function reading(place, picture, told, part, camera) {
  const line = place.parentElement.querySelector(".part-read"), ray = new Raycaster();
  line.hidden = false;
  line.textContent = "Drag or use the arrow keys to turn the part; point at it to read its wall. The numbers are the thickest places.";
  const read = (at, where) => {
    camera.updateMatrixWorld();
    ray.setFromCamera(at, camera);
    const hit = ray.intersectObject(part)[0];
    if (!hit) return;
    const known = [0, 1, 2].map((i) => picture.mm(picture.faces[3 * hit.faceIndex + i])).filter((mm) => !Number.isNaN(mm));
    const mm = known.length ? known.reduce((sum, one) => sum + one, 0) / known.length : NaN;
    line.textContent = where + words(mm, hit.point);
  };
  place.addEventListener("pointermove", (event) => {
    if (event.buttons) return;
    const box = place.getBoundingClientRect();
    read(new Vector2(((event.clientX - box.left) / box.width) * 2 - 1, 1 - ((event.clientY - box.top) / box.height) * 2), "");
  });
  return read;
}

for (const place of document.querySelectorAll(".part-turned")) show(place).catch(() => { place.hidden = true; });
