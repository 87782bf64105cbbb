import { useState } from 'preact/hooks';
import { api } from './api';
import { KindForm } from './form';
import { realPhotographs, useMarks } from './marks';
import { circle, outlineText, type Point } from './outline';
import { Photo } from './photo';
import { Readings, ReadSoFar, Unplaced } from './readings';
import { complain, go, hrefOf, loadSheet, nameOf, say, sheetThings, textOf, useBench } from './state';
import { Card, Fold, Nothing, signer } from './ui';

function Placing({ sheet, spot }: { sheet: string; spot: string }) {
  const photographs = realPhotographs(sheet);
  const [placing, setPlacing] = useState(false);
  const id = photographs[0]?.id ?? 0;
  const marks = useMarks(sheet, id, spot);
  if (!id) return <Nothing>Bring a photograph to the sheet, and the spot can be placed on it.</Nothing>;
  const thing = sheetThings(sheet, 'spot').find((one) => nameOf(one) === spot);
  const place = async ([x, y]: Point) => {
    const by = signer();
    if (!by || !thing) return;
    try {
      const info = await api.photograph(id);
      const radius = info.mm_per_px ? 3 / info.mm_per_px : Math.max(info.width, info.height) / 60;
      await api.keep({
        kind: 'spot',
        thing: `#${thing.id}`,
        seen_row: thing.row,
        columns: { photograph: `#${id}`, outline: outlineText(circle(x, y, radius)) },
        why: textOf(thing, 'outline') ? 'placed anew on the photograph' : 'placed on the photograph',
        by,
      });
      setPlacing(false);
      await loadSheet(sheet);
      say(`${spot} has its place`);
    } catch (error) {
      complain(error);
    }
  };
  return (
    <>
      <Photo id={id} marks={marks} onPoint={placing ? (point) => void place(point) : undefined} label={`Photograph with ${spot}`} />
      <div class="acts">
        <button type="button" class={`act${placing ? ' main' : ''}`} aria-pressed={placing} onClick={() => setPlacing(!placing)}>
          {placing ? 'Tap the spot on the photograph' : thing && textOf(thing, 'outline') ? 'Place it anew' : 'Place it on the photograph'}
        </button>
      </div>
    </>
  );
}

export function Spots({ sheet, part }: { sheet: string; part: string }) {
  useBench();
  const spots = sheetThings(sheet, 'spot');
  const chosen = spots.find((spot) => nameOf(spot) === part);
  return (
    <>
      <nav class="hand" aria-label="Spots">
        <ul class="slips small">
          {spots.map((spot) => (
            <li>
              <a
                class="slip"
                aria-current={nameOf(spot) === part ? 'true' : undefined}
                href={hrefOf({ sheet, view: 'spot', part: nameOf(spot) })}
              >
                <span class="slip-name">{nameOf(spot)}</span>
              </a>
            </li>
          ))}
          <li>
            <a class="slip new" aria-current={part ? undefined : 'true'} href={hrefOf({ sheet, view: 'spot' })}>
              <span class="slip-name">A new spot, or all at once</span>
            </a>
          </li>
        </ul>
      </nav>
      <Unplaced sheet={sheet} place={{ sheet, spot: part }} />
      {chosen ? (
        <>
          <p class="lead">
            {textOf(chosen, 'place') || 'Nothing is said of where it is.'} {textOf(chosen, 'template_name')}
          </p>
          <Card title="Where it is">
            <Placing key={part} sheet={sheet} spot={part} />
          </Card>
          <Card title={`Readings of ${part}`}>
            <ReadSoFar sheet={sheet} column="spot" name={part} />
            <Readings place={{ sheet, spot: part }} name={part} role="target" draft={`spot.${sheet}.${part}`} stage key={part} />
          </Card>
          <Fold title="Correct what is said of it">
            <KindForm
              key={chosen.id}
              kind="spot"
              first={['name', 'place', 'template_name', 'side']}
              hidden={['photograph', 'outline']}
              button="Keep the correction"
              draft={`correct.spot.${chosen.id}`}
              thing={chosen}
              sheet={sheet}
              onKept={(name) => go({ sheet, view: 'spot', part: name || part })}
            />
          </Fold>
        </>
      ) : (
        <>
          <Card title="A new spot">
            <p>A spot is a place that is read again and again: before, between baths, after.</p>
            <KindForm
              kind="spot"
              fixed={{ sheet }}
              first={['name', 'place', 'template_name']}
              hidden={['photograph', 'outline']}
              button="Keep the spot"
              draft={`new.spot.${sheet}`}
              sheet={sheet}
              onKept={(name) => go({ sheet, view: 'spot', part: name })}
            />
          </Card>
          <Card title="Readings of several spots in one file">
            <Readings
              place={{ sheet }}
              name=""
              role="target"
              draft={`spots.${sheet}`}
              stage
              hint="Bring them all at once. Then pick for each which spot was read."
            />
          </Card>
        </>
      )}
    </>
  );
}
