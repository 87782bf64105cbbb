import { useState } from 'preact/hooks';
import { api } from './api';
import { KindForm } from './form';
import { realPhotographs, useMarks } from './marks';
import { outlineText, type Polygon } from './outline';
import { Photo } from './photo';
import { Readings, ReadSoFar, Unplaced } from './readings';
import { FilePick } from './sheet';
import { NextCard, nextOfLoss, standingOf, StandingWords } from './standing';
import { complain, go, hrefOf, loadSheet, nameOf, say, sheetThings, textOf, useBench, useDraft } from './state';
import type { Thing } from './types';
import { Act, Card, Field, Fold, Nothing, signer } from './ui';

export function LossSlips({ sheet, part, view, fresh }: { sheet: string; part: string; view: string; fresh?: boolean }) {
  const losses = sheetThings(sheet, 'loss');
  return (
    <nav class="hand" aria-label="Losses and tears">
      <ul class="slips small">
        {losses.map((loss) => (
          <li>
            <a
              class={`slip ${textOf(loss, 'nature')}`}
              aria-current={nameOf(loss) === part ? 'true' : undefined}
              href={hrefOf({ sheet, view, part: nameOf(loss) })}
            >
              <span class="slip-name">{nameOf(loss)}</span>
              <StandingWords of={standingOf(sheet, loss)} />
            </a>
          </li>
        ))}
        {fresh && (
          <li>
            <a class="slip new" aria-current={part ? undefined : 'true'} href={hrefOf({ sheet, view })}>
              <span class="slip-name">A new loss or tear</span>
            </a>
          </li>
        )}
      </ul>
    </nav>
  );
}

function Edge({ sheet, loss }: { sheet: string; loss: Thing }) {
  const name = nameOf(loss);
  const photographs = realPhotographs(sheet);
  const id = Number(loss.columns.photograph ?? 0) || photographs[0]?.id || 0;
  const marks = useMarks(sheet, id, name);
  const [drawing, setDrawing] = useState(false);
  const [drawn, setDrawn, clear] = useDraft<Polygon>(`edge.${sheet}.${name}`, []);
  const [busy, setBusy] = useState(false);
  const has = textOf(loss, 'outline') ? 'drawn' : loss.columns.mask ? 'brought as a mask' : '';

  const correct = (columns: Record<string, string>, why: string, by: string) =>
    api.keep({ kind: 'loss', thing: `#${loss.id}`, seen_row: loss.row, columns, why, by });
  const close = async () => {
    const by = signer();
    if (!by) return;
    if (drawn.length < 3) throw new Error('An edge has at least three corners');
    await correct(
      { photograph: `#${id}`, outline: outlineText(drawn), ...(loss.columns.mask ? { mask: '' } : {}) },
      has ? 'its edge drawn anew' : 'its edge drawn on the photograph',
      by,
    );
    clear();
    setDrawing(false);
    await loadSheet(sheet);
    say(`The edge of ${name} is kept`);
  };
  const bringMask = async ([file]: File[]) => {
    const by = signer();
    if (!file || !by) return;
    setBusy(true);
    try {
      const mask = await api.putPhotograph(file, { name: file.name, sheet, stage: 'mask', note: `mask of ${name}`, by });
      await correct(
        { mask: `#${mask.id}`, ...(id ? { photograph: `#${id}` } : {}), ...(has === 'drawn' ? { outline: '' } : {}) },
        'its mask was brought',
        by,
      );
      await loadSheet(sheet);
      say(`The mask of ${name} is kept`);
    } catch (error) {
      complain(error);
    } finally {
      setBusy(false);
    }
  };
  return (
    <>
      {id ? (
        <>
          <Photo
            id={id}
            marks={drawing ? marks.filter((mark) => !mark.chosen) : marks}
            drawn={drawn}
            onDraw={drawing ? (points) => setDrawn(points) : undefined}
            label={drawing ? `Drawing the edge of ${name}` : `Photograph with ${name}`}
          />
          <div class="acts">
            {!drawing ? (
              <button type="button" class="act" onClick={() => setDrawing(true)}>
                {has ? 'Draw its edge anew' : 'Draw its edge'}
              </button>
            ) : (
              <>
                <Act main onAct={close} disabled={drawn.length < 3}>
                  Close and keep the edge
                </Act>
                <button type="button" class="act" disabled={!drawn.length} onClick={() => setDrawn((old) => old.slice(0, -1))}>
                  Take one corner back
                </button>
                <button type="button" class="act quiet" onClick={() => (clear(), setDrawing(false))}>
                  Leave it
                </button>
                <span class="quietly" role="status">
                  {drawn.length} {drawn.length === 1 ? 'corner' : 'corners'}; tap along the edge
                </span>
              </>
            )}
          </div>
        </>
      ) : (
        <Nothing>Bring a photograph to the sheet, and the edge can be drawn on it.</Nothing>
      )}
      <p>{has ? `Its edge was ${has}.` : 'It has no edge yet.'}</p>
      <FilePick
        label={loss.columns.mask ? 'Bring another mask' : 'Or bring a mask: white is the loss'}
        accept="image/*,.tif,.tiff"
        onFiles={bringMask}
        busy={busy}
      />
    </>
  );
}

/// How a loss ended, in one tap; the reason is asked only where it is left alone.
function Ending({ sheet, loss }: { sheet: string; loss: Thing }) {
  const [why, setWhy] = useState('');
  const ended = textOf(loss, 'ended');
  const end = async (how: string) => {
    const by = signer();
    if (!by) return;
    if (how === 'left alone' && !why.trim()) throw new Error('Say in a few words why it is left alone');
    await api.keep({
      kind: 'loss',
      thing: `#${loss.id}`,
      seen_row: loss.row,
      columns: { ended: how, ended_why: why.trim() },
      why: how ? `how it ended: ${how}` : 'it is not ended after all',
      by,
    });
    await loadSheet(sheet);
    say(how ? `${nameOf(loss)} is ${how}` : `${nameOf(loss)} is open again`);
    if (how) go({ sheet, view: 'sheet' });
  };
  if (ended)
    return (
      <Card>
        <p class="verdict">
          {nameOf(loss)} is {ended}
          {textOf(loss, 'ended_why') && `: ${textOf(loss, 'ended_why')}`}.
        </p>
        <Act quiet onAct={() => end('')}>
          It is not ended after all
        </Act>
      </Card>
    );
  return (
    <Card title="How did it end?">
      <div class="acts">
        <Act main onAct={() => end('filled')}>
          It is filled
        </Act>
      </div>
      <Field label="Or why it is left alone" value={why} onInput={setWhy} />
      <Act onAct={() => end('left alone')}>It is left alone</Act>
    </Card>
  );
}

export function Losses({ sheet, part }: { sheet: string; part: string }) {
  useBench();
  const loss = sheetThings(sheet, 'loss').find((one) => nameOf(one) === part);
  const standing = loss ? standingOf(sheet, loss) : 'to be read';
  const next = loss ? nextOfLoss(sheet, loss) : null;
  return (
    <>
      <LossSlips sheet={sheet} part={part} view="loss" fresh />
      {loss ? (
        <>
          <p class="lead">
            A {textOf(loss, 'nature')}
            {textOf(loss, 'place') && `, ${textOf(loss, 'place')}`}
            {textOf(loss, 'area_cm2') && `, ${textOf(loss, 'area_cm2')} cm²`}. {textOf(loss, 'note')}
          </p>
          {!['to be read', 'matched'].includes(standing) && next && <NextCard next={next} />}
          {['matched', 'filled', 'left alone'].includes(standing) && <Ending key={part} sheet={sheet} loss={loss} />}
          <Card title="The paper beside it">
            <ReadSoFar sheet={sheet} column="loss" name={part} />
            <Readings
              key={part}
              place={{ sheet, loss: part }}
              name={part}
              role="target"
              draft={`loss.${sheet}.${part}`}
              hint={
                textOf(loss, 'nature') === 'tear'
                  ? 'Read it over two backings, black and white or the mount board: tissue behind a tear shows through the sheet.'
                  : 'Read it over black and over white, if you can. Only then is it known how a thin sheet looks over anything else.'
              }
            />
            <Unplaced sheet={sheet} place={{ sheet, loss: part }} />
          </Card>
          <Card title="Its edge">
            <Edge key={part} sheet={sheet} loss={loss} />
          </Card>
          {!['matched', 'filled', 'left alone'].includes(standing) && (
            <Fold title="Leave it alone, or say that it is filled">
              <Ending key={part} sheet={sheet} loss={loss} />
            </Fold>
          )}
          <Fold title="Correct what is said of it">
            <KindForm
              key={loss.id}
              kind="loss"
              first={['name', 'nature', 'place', 'area_cm2']}
              hidden={['photograph', 'outline', 'mask', 'ended', 'ended_why']}
              button="Keep the correction"
              draft={`correct.loss.${loss.id}`}
              thing={loss}
              sheet={sheet}
              onKept={(name) => go({ sheet, view: 'loss', part: name || part })}
            />
          </Fold>
        </>
      ) : (
        <>
          <Card title="A new loss or tear">
            <KindForm
              kind="loss"
              fixed={{ sheet }}
              first={['name', 'nature']}
              hidden={['photograph', 'outline', 'mask', 'ended', 'ended_why']}
              start={{ nature: 'loss' }}
              button="Keep it"
              draft={`new.loss.${sheet}`}
              sheet={sheet}
              onKept={(name) => go({ sheet, view: 'loss', part: name })}
            />
          </Card>
          <Card title="Readings of several losses and tears in one file">
            <Readings
              place={{ sheet }}
              name=""
              role="target"
              draft={`losses.${sheet}`}
              hint="Bring them all at once. Then pick for each what was read."
            />
          </Card>
        </>
      )}
    </>
  );
}
